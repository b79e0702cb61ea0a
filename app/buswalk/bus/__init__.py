"""Runs jobs over an open line and carries their events to whoever shows them."""

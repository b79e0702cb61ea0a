"""Widgets that pages share; each takes a Look and draws in it alone."""

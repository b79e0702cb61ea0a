"""Watching a line for long: whom to ask how often, whose turn it is, and what is said of it."""

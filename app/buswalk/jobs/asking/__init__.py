"""The Asker: the only way to ask the line."""

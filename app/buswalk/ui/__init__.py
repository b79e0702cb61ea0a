"""The window: presenters in plain Python, views that draw them. Imported only by main, and only for a window."""

"""Head line, rail, page area, keys: what stays whatever page is shown."""

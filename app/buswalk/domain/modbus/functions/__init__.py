"""One file a function code, joined by the table in `table`."""

"""The command line: one file a command. What it needs of ports and lines is handed down by `main`."""

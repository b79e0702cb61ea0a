"""Pages, one folder each: presenter and view; page.py says by what the shell knows them."""

"""Files: the record of a visit, preferences. The only importer of sqlite3; it knows no port and no screen."""

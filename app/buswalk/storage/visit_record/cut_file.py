"""Reading a file that was cut at its end, as by a copy that was broken off: how far it goes, and that it was cut."""

from __future__ import annotations

import sqlite3
from pathlib import Path

HEADER_BYTES = 100
PAGES_AT = 28
"""Where a SQLite file says how many pages it has, in four bytes (SQLite file format, 1.3.7, from memory)."""


def look_at_tables(connection: sqlite3.Connection) -> None:
    """Read the list of tables, of a cut file too.

    Raises:
        sqlite3.Error: It cannot be read.
    """
    try:
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
    except sqlite3.DatabaseError as reason:
        if reason.sqlite_errorname != "SQLITE_CORRUPT":
            raise
        # A file that was cut is refused as a whole, unless one says that one means to look into a broken one. It is
        # open for reading only, so that nothing can be made worse.
        connection.execute("PRAGMA writable_schema = ON")
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()


def is_cut(connection: sqlite3.Connection, path: Path) -> bool:
    """Tell whether the file ends before its header says; while somebody writes, its log has the rest.

    A file that is gone meanwhile is not called cut: what is asked of it next says so.
    """
    log = path.with_name(path.name + "-wal")
    (page_bytes,) = connection.execute("PRAGMA page_size").fetchone()
    try:
        if log.exists() and log.stat().st_size > 0:
            return False
        with path.open("rb") as file:
            told = int.from_bytes(file.read(HEADER_BYTES)[PAGES_AT : PAGES_AT + 4], "big")
        return told * int(page_bytes) > path.stat().st_size
    except OSError:
        return False


def last_row(connection: sqlite3.Connection) -> int:
    """Return the row kept last; of a cut file at least what its counts tell, so that the loss shows."""
    return max(_last_of(connection, one, "row") for one in ("event", "exchange", "arrival"))


def last_number(connection: sqlite3.Connection) -> int:
    """Return the number of the last exchange; of a cut file at least what its counts tell."""
    return max(_last_of(connection, "exchange", "number"), _counted_exchanges(connection))


def _last_of(connection: sqlite3.Connection, table: str, column: str) -> int:
    try:
        return int(connection.execute(f"SELECT max({column}) FROM {table}").fetchone()[0] or 0)
    except sqlite3.DatabaseError:
        return max(_last_before_damage(connection, table, column), _counted_exchanges(connection))


def _last_before_damage(connection: sqlite3.Connection, table: str, column: str) -> int:
    last = 0
    try:
        for (value,) in connection.execute(f"SELECT {column} FROM {table} ORDER BY {column}"):
            last = value if isinstance(value, int) else last  # a page cut in its midst reads as empty values
    except sqlite3.DatabaseError:
        return last
    return last


def _counted_exchanges(connection: sqlite3.Connection) -> int:
    """Numbers and rows count on from 1: there were no fewer of either."""
    try:
        return int(connection.execute("SELECT sum(count) FROM aggregate").fetchone()[0] or 0)
    except sqlite3.DatabaseError:
        return 0

"""Opens or makes the file of a record for writing, and refuses what is none, or not ours to write."""

from __future__ import annotations

import sqlite3
import uuid
from pathlib import Path

from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.record_problems import (
    SQLITE_ERRORS,
    cannot_write,
    damaged_record,
    newer_record,
    not_a_record,
    other_kind_of_line,
)
from buswalk.storage.visit_record.schema import ADDED, APPLICATION_ID, SCHEMA, TABLES

BUSY_WAIT_S = 0.25
"""For another program that writes into the file: the line does not wait for long."""
CHECKPOINT_BY_ITSELF_PAGES = 8_000
"""A guard only (32 MB): `settle` is called long before, and between exchanges."""
MOST_PAGES = 0xFFFF_FFFE
"""What SQLite allows; tests allow less, so that the disk is full."""


def open_for_writing(path: Path, *, is_simulated: bool, most_pages: int = MOST_PAGES) -> sqlite3.Connection:
    """Return a connection to a record, made new if the file is not there or empty.

    Raises:
        RecordProblem: It cannot be written, is no record, one of a newer version, or of the other kind of line.
    """
    try:
        connection = sqlite3.connect(path, timeout=BUSY_WAIT_S, isolation_level=None)
    except SQLITE_ERRORS as reason:
        raise cannot_write(path, reason) from reason
    try:
        _prepare(connection, path, is_simulated, most_pages)
    except SQLITE_ERRORS as reason:
        connection.close()
        raise cannot_write(path, reason) from reason
    except RecordProblem:
        connection.close()
        raise
    return connection


def require_record(connection: sqlite3.Connection, path: Path) -> None:
    """Look at the header.

    Raises:
        RecordProblem: It is no record, or one of a newer version.
        sqlite3.Error: It cannot be read.
    """
    if _pragma(connection, "application_id") != APPLICATION_ID:
        raise not_a_record(path)
    schema = _pragma(connection, "user_version")
    if schema > SCHEMA:
        raise newer_record(path, schema, SCHEMA)


def _prepare(connection: sqlite3.Connection, path: Path, is_simulated: bool, most_pages: int) -> None:
    connection.execute(f"PRAGMA max_page_count = {most_pages}")
    if not connection.execute("SELECT count(*) FROM sqlite_master").fetchone()[0]:
        _make(connection, is_simulated)
    require_record(connection, path)
    visits = connection.execute("SELECT is_simulated FROM visit").fetchall()
    if len(visits) != 1:
        raise damaged_record(path)
    is_file_simulated = bool(visits[0][0])
    if is_file_simulated is not is_simulated:
        raise other_kind_of_line(path, is_simulated=is_file_simulated)
    if not all(has(connection, table) for table in ADDED):
        connection.execute("BEGIN IMMEDIATE")
        _add(connection)
        connection.execute("COMMIT")
    connection.execute(f"PRAGMA wal_autocheckpoint = {CHECKPOINT_BY_ITSELF_PAGES}")
    connection.execute("PRAGMA synchronous = NORMAL")


def _make(connection: sqlite3.Connection, is_simulated: bool) -> None:
    """Make the tables in one transaction: who dies meanwhile leaves an empty file, which the next one makes anew."""
    (mode,) = connection.execute("PRAGMA journal_mode = WAL").fetchone()
    if mode != "wal":
        raise sqlite3.OperationalError("this file system has no shared memory for a write-ahead log")
    connection.execute("BEGIN IMMEDIATE")
    for statement in TABLES.split(";\n"):
        connection.execute(statement)
    _add(connection)
    connection.execute("INSERT INTO visit VALUES (?, ?, ?)", (str(uuid.uuid4()), SCHEMA, is_simulated))
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute(f"PRAGMA user_version = {SCHEMA}")
    connection.execute("COMMIT")


def has(connection: sqlite3.Connection, name: str) -> bool:
    """Tell whether a file has this table or index; those of the first days lack some.

    Raises:
        sqlite3.Error: It cannot be read.
    """
    return connection.execute("SELECT 1 FROM sqlite_master WHERE name = ?", (name,)).fetchone() is not None


def _add(connection: sqlite3.Connection) -> None:
    for table, statements in ADDED.items():
        if not has(connection, table):
            for statement in statements:
                connection.execute(statement)


def _pragma(connection: sqlite3.Connection, name: str) -> int:
    (value,) = connection.execute(f"PRAGMA {name}").fetchone()
    return int(value)

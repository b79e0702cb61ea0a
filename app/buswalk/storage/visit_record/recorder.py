"""Keeps a visit: each event in one transaction, before anybody is shown it. The only writer of a file."""

from __future__ import annotations

import sqlite3
from collections.abc import Callable
from contextlib import closing
from pathlib import Path
from typing import get_args

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.listening.events import Heard
from buswalk.domain.modbus.request import Effect
from buswalk.domain.readdressing.events import ReaddressEvent
from buswalk.domain.registers.writing.events import WriteEvent
from buswalk.domain.search.events import AnswersEverywhere, Found, Unclear
from buswalk.domain.visit.recorder import RecordProblem, RecordState
from buswalk.domain.visit.session_events import (
    MarkEdited,
    MarkEnded,
    MarkMade,
    MarkTakenBack,
    PlanKept,
    SessionStarted,
)
from buswalk.storage.file_lock import FileLock, Locked
from buswalk.storage.record_problems import GOES_ON, SQLITE_ERRORS, FileProblem, cannot_write, record_in_use
from buswalk.storage.visit_record.event_writer import EventWriter
from buswalk.storage.visit_record.exchange_columns import (
    NS,
    nanoseconds,
)
from buswalk.storage.visit_record.opening import MOST_PAGES, open_for_writing

ENDING = ".buswalk.sqlite"
HOUR_NS = 3600 * NS
KEPT_AGAINST_POWER_LOSS = (
    MarkMade,
    MarkEnded,
    MarkEdited,
    MarkTakenBack,
    PlanKept,
    Found,
    AnswersEverywhere,
    Unclear,
    SessionStarted,
    *get_args(WriteEvent),
    *get_args(ReaddressEvent),
)
"""Beside writes. Traffic is safe against the death of the process at once, and against power loss once settled."""


def open_visit_record(path: Path, *, is_simulated: bool, most_pages: int = MOST_PAGES) -> VisitRecorder:
    """Open a record to go on in it, or make it.

    Raises:
        FileProblem: It cannot be written, is in use, damaged, no record, newer, or of the other kind of line.
    """
    lock = _locked(path)
    try:
        connection = open_for_writing(path, is_simulated=is_simulated, most_pages=most_pages)
        try:
            return VisitRecorder(connection, path, lock, is_simulated=is_simulated)
        except SQLITE_ERRORS as reason:
            connection.close()
            raise cannot_write(path, reason) from reason
    except FileProblem:
        lock.give_back()
        raise


def _locked(path: Path) -> FileLock:
    lock = FileLock(path)
    try:
        lock.take()
    except Locked as reason:
        raise record_in_use(path) from reason
    except OSError as reason:
        raise cannot_write(path, reason) from reason
    return lock


class VisitRecorder:
    """A `Recorder` into one file. Once it has failed it keeps nothing more and says why each time."""

    def __init__(self, connection: sqlite3.Connection, path: Path, lock: FileLock, *, is_simulated: bool) -> None:
        self._connection = connection
        self._lock = lock
        self._path = path
        self._is_simulated = is_simulated
        self._problem = ""
        self._writer = EventWriter(connection)
        self._last_stray: tuple[Arrival, int] | None = None
        self._file_id = _file_id(path)

    @property
    def path(self) -> Path:
        """The file."""
        return self._path

    @property
    def state(self) -> RecordState:
        """How things stand."""
        name = self._path.name.removesuffix(ENDING)
        return RecordState(name, str(self._path), self._writer.place.exchanges, self._is_simulated, self._problem)

    @property
    def next_exchange_number(self) -> int:
        """The number after the last one in this file."""
        return self._writer.place.next_number

    def holds_mark(self, row: int) -> bool:
        """Tell whether this row of the file is a mark.

        Raises:
            RecordProblem: The file cannot be read any more.
        """
        self._require_working()
        try:
            return self._writer.holds_mark(row)
        except SQLITE_ERRORS as reason:
            raise cannot_write(self._path, reason) from reason

    def begin(self, session: SessionStarted) -> None:
        """Open a session; keeping its `SessionStarted` does the same."""
        self.keep(session, 0.0)

    def keep(self, event: object, at_s: float) -> int:
        """Keep an event; return its row. Bytes that were kept a moment ago as strays are not kept twice.

        Raises:
            RecordProblem: It could not be kept; nor will anything after it.
            ValueError: No session has begun, or exchanges are not in the order of their numbers.
        """
        self._refuse_what_cannot_be(event)
        kept_already = self._row_of_kept(event)
        if kept_already:
            return kept_already
        row = self._writer.place.next_row
        self._in_one_transaction(lambda: self._writer.write(event, row, nanoseconds(at_s)), _durability(event))
        self._writer.place.next_row = row + 1
        if isinstance(event, StrayArrival):
            self._last_stray = (event.arrival, row)
        return row

    def settle(self) -> None:
        """Bring the write-ahead log into the main file, and see that the file is still where it was.

        Raises:
            RecordProblem: It is not, or cannot be written.
        """
        self._require_working()
        if _file_id(self._path) != self._file_id:
            self._fail(RecordProblem(f"{self._path} is gone, moved or deleted: {GOES_ON}; open the port again"))
        try:
            self._connection.execute("PRAGMA wal_checkpoint(PASSIVE)").fetchone()
        except sqlite3.Error as reason:
            self._fail(cannot_write(self._path, reason))

    def close(self) -> None:
        """End the session and give the file back. Closing twice does nothing.

        Raises:
            RecordProblem: The end could not be written; the file is given back all the same.
        """
        try:
            if self._writer.place.session and not self._problem:
                self._in_one_transaction(self._writer.end_session, "FULL")
        finally:
            self._writer.place.session = 0
            self._connection.close()
            self._lock.give_back()

    def abandon(self) -> None:
        """Give the file back as it is, without an end of the session: what the death of the process leaves."""
        self._connection.close()
        self._lock.give_back()

    def go_on_as(self, path: Path) -> None:
        """Copy the record to another file and go on there; the old one stays as it is.

        Raises:
            RecordProblem: The copy cannot be made: the record goes on where it was.
        """
        self._require_working()
        lock = _locked(path)
        try:
            opened = self._copied_to(path)
        except (sqlite3.Error, RecordProblem) as reason:
            lock.give_back()
            name = path.name.removesuffix(ENDING)
            raise RecordProblem(f"the record cannot be saved as {name} ({reason}): choose another name") from reason
        self._connection.close()
        self._lock.give_back()
        self._connection, self._lock, self._path, self._file_id = opened, lock, path, _file_id(path)
        self._writer.use(opened)

    def _copied_to(self, path: Path) -> sqlite3.Connection:
        if path.exists():
            raise RecordProblem("there is one of that name")
        try:
            with closing(sqlite3.connect(path)) as copy:
                self._connection.backup(copy)
            return open_for_writing(path, is_simulated=self._is_simulated)
        except (sqlite3.Error, RecordProblem):
            path.unlink(missing_ok=True)
            raise

    # How

    def _in_one_transaction(self, write: Callable[[], None], synchronous: str) -> None:
        self._require_working()
        try:
            if synchronous != "NORMAL":
                self._connection.execute(f"PRAGMA synchronous = {synchronous}")
            self._connection.execute("BEGIN IMMEDIATE")
            write()
            self._connection.execute("COMMIT")
            if synchronous != "NORMAL":
                self._connection.execute("PRAGMA synchronous = NORMAL")
        except SQLITE_ERRORS as reason:
            self._roll_back()
            self._fail(cannot_write(self._path, reason))

    def _roll_back(self) -> None:
        try:
            if self._connection.in_transaction:
                self._connection.execute("ROLLBACK")
        except sqlite3.Error:
            return  # the next one to open the file rolls back

    def _require_working(self) -> None:
        if self._problem:
            raise RecordProblem(self._problem)

    def _fail(self, problem: RecordProblem) -> None:
        self._problem = problem.sentence
        raise problem

    def _refuse_what_cannot_be(self, event: object) -> None:
        self._require_working()
        if not self._writer.place.session and not isinstance(event, SessionStarted):
            raise ValueError("a session begins before anything is kept")
        if isinstance(event, ExchangeDone) and event.exchange.number < self._writer.place.next_number:
            raise ValueError(f"exchange {event.exchange.number} comes after {self._writer.place.next_number - 1}")
        if isinstance(event, SessionStarted) and event.is_simulated is not self._is_simulated:
            raise ValueError("a session is of the same kind of line as its record")

    def _row_of_kept(self, event: object) -> int:
        """Return the row of what is in the file already, 0 for anything new."""
        match event:
            case SessionStarted() if self._writer.place.session:
                return self._writer.place.session_row
            case Heard(arrival) if self._last_stray is not None and self._last_stray[0] == arrival:
                return self._last_stray[1]
            case _:
                return 0


def _durability(event: object) -> str:
    if isinstance(event, ExchangeDone):
        return "NORMAL" if event.exchange.request.effect in (Effect.READS, Effect.DIAGNOSES) else "FULL"
    return "FULL" if isinstance(event, KEPT_AGAINST_POWER_LOSS) else "NORMAL"


def _file_id(path: Path) -> tuple[int, int]:
    """Return what tells this file from another one at the same place; zeros if there is none."""
    try:
        found = path.stat()
    except OSError:
        return 0, 0
    return found.st_dev, found.st_ino

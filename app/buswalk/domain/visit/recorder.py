"""The protocol by which the bus process keeps a visit: storage implements it, the one writer of a record uses it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from buswalk.domain.registers.writing.earlier_writes import NO_EARLIER_WRITES, EarlierWrites
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import SessionStarted

UNSAVED = "unsaved-"
"""How the name of a simulated line's record begins until it is saved under a name."""


class RecordProblem(Exception):
    """A record that cannot be written (any more).

    Attributes:
        sentence: What, where, what to do. What was recorded before stands.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class RecordState:
    """What the head line says of the record.

    Attributes:
        name: Of the file, without folder and ending; empty while nothing is recorded.
        exchanges: Kept in this file so far, of all its sessions.
        problem: Why nothing is recorded; empty while all is well.
    """

    name: str
    path: str
    exchanges: int
    is_simulated: bool
    problem: str = ""


class Recorder(Protocol):
    """Keeps events of one session. Every method raises RecordProblem when it cannot."""

    @property
    def state(self) -> RecordState:
        """How things stand."""

    @property
    def next_exchange_number(self) -> int:
        """The number that the first exchange of this session gets: numbers go on through the sessions of a file."""

    def holds_mark(self, row: int) -> bool:
        """Tell whether this row of the file is a mark that was made."""

    def begin(self, session: SessionStarted) -> None:
        """Open a session; its line time begins."""

    def keep(self, event: object, at_s: float) -> int:
        """Keep an event of domain at line time `at_s` before anybody is shown it; return its row number in the file.

        Durable against the death of the process when it returns; writes, marks and findings against power loss too.
        """

    def settle(self) -> None:
        """Bring what is kept into the main file: called between exchanges, at least every 5 s."""

    def close(self) -> None:
        """End the session and give the file back."""


@dataclass(frozen=True, slots=True)
class OpenedRecord:
    """A recorder, and what is to be said about its opening.

    Attributes:
        notices: Sentences: why another file than the expected one is used. Empty if all is as expected.
        planned: The planned list as the file that goes on holds it.
        earlier: Writes of its earlier sessions, and of the last records of the same port.
        found: Addresses that answered in its earlier sessions.
    """

    recorder: Recorder
    notices: tuple[str, ...]
    planned: tuple[PlannedDevice, ...] = ()
    earlier: EarlierWrites = NO_EARLIER_WRITES
    found: tuple[int, ...] = ()

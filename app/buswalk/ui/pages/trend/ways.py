"""What the page Trend asks for outside of itself; handed down by who makes the pages. Plain Python."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from buswalk.bus.queries import Calculation, Query
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.watched_choice import WatchedChoice
from buswalk.domain.trend.export_table import ExportTable


class AsksRecord(Protocol):
    """Asks a record; `take` gets the answer later, or `refused` one sentence."""

    def __call__(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Ask."""


@dataclass(frozen=True, slots=True)
class KnownDevice:
    """A device that answers, and what it is called where that is planned.

    Attributes:
        fits: Names of the profiles that it was recognised by, when it was found.
    """

    server_address: int
    settings: SerialSettings
    name: str = ""
    fits: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ReadFile:
    """A text file that somebody chose: its lines, or why it cannot be read."""

    name: str
    lines: tuple[str, ...] = ()
    problem: str = ""


@dataclass(frozen=True, slots=True)
class TrendWays:
    """Ways out of the page.

    Attributes:
        start: Watch these points; one sentence if that cannot be.
        devices: Which devices answer, as far as is known now.
        library: The register profiles there are.
        calculate: Work something out in another process; `take` gets the result, or `refused` one sentence, later.
        choose_list: Let the user choose a hand instrument's file; None for a changed mind.
        choose_export: Let the user choose a file to write; '' for a changed mind.
        ask: Asks a record, in another process.
        choose_record: Let the user choose a record file; '' for a changed mind.
        mark: Mark this moment, and ask for its words, as Ctrl+M does.
        save_table: Write values into a file; the sentence of what came of it is handed on, perhaps later.
        beside: What to know before asking where another client was heard; empty where none was.
    """

    start: Callable[[WatchedChoice], str]
    devices: Callable[[], tuple[KnownDevice, ...]]
    library: Callable[[], ProfileLibrary]
    calculate: Callable[[Calculation, Callable[[object], None], Callable[[str], None]], None]
    ask: AsksRecord
    choose_record: Callable[[], str]
    mark: Callable[[], None]
    choose_list: Callable[[], ReadFile | None]
    choose_export: Callable[[str], str]
    save_table: Callable[[str, ExportTable, Callable[[str], None]], None]
    beside: Callable[[], str] = lambda: ""

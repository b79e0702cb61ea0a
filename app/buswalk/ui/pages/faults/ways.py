"""What the page Faults is handed: how it asks a record, chooses one, and hands over what it shows."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from enum import Enum

from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.ui.pages.faults.record_reading import AsksRecord
from buswalk.ui.timer_desk import TimerDesk, no_timers


class FileKind(Enum):
    """What is handed over."""

    TABLES = "tables"
    PAGES = "pages"


@dataclass(frozen=True, slots=True)
class FaultWays:
    """What the page is handed.

    Attributes:
        ask: Asks a record in the analysis process.
        choose_record: Lets the user choose a record file; '' for a changed mind.
        export: Lets the user choose a file and begins to write what the filter lets through; returns its name, '' for
            a changed mind; one sentence of what came of it is handed over later.
        timers: Who falls back when nobody asks.
    """

    ask: AsksRecord
    choose_record: Callable[[], str]
    export: Callable[[str, FileKind, FaultFilter, Callable[[str], None]], str]
    timers: TimerDesk = field(default_factory=no_timers)

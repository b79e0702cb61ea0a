"""What commands are handed: ways to open lines and list ports, where to write, and the stop request."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TextIO

from buswalk.bus.stop_request import StopRequest
from buswalk.cli.exit_status import ExitStatus
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.library import BoardLibrary
from buswalk.jobs.asking.write_guard import Consents


@dataclass(frozen=True, slots=True)
class ReadyLine:
    """A line that commands may use, and what may be sent on it.

    Attributes:
        open_again: Opens the same port after it was lost; raises `PortError` while it is away.
    """

    port: str
    line: Line
    clock: Clock
    consents: Consents
    open_again: Callable[[SerialSettings], Line]


@dataclass(frozen=True, slots=True)
class ListedPort:
    """One port of this computer, in words."""

    port: str
    words: str
    adapter: str


@dataclass(frozen=True, slots=True)
class PortChoice:
    """Which line to open, and how.

    Attributes:
        is_virtual: Lets the time of a simulated line jump.
    """

    port: str
    settings: SerialSettings
    is_virtual: bool
    options: PortOptions


class OpensLine(Protocol):
    """Opens a port text."""

    def __call__(self, choice: PortChoice) -> ReadyLine:
        """Return the open line. Raises PortError, or WrongUse for a scenario that cannot be used."""


@dataclass(frozen=True, slots=True)
class RecordParts:
    """What is done with records.

    Attributes:
        open: For reading; raises RecordProblem.
        save_lines: Writes lines to a new file; raises RecordProblem if it is there, or cannot be written.
    """

    open: Callable[[Path], RecordReader]
    save_lines: Callable[[Path, Iterable[str]], None]


@dataclass(frozen=True, slots=True)
class PlanRead:
    """A planned list: its devices, and a sentence for each trouble."""

    devices: tuple[PlannedDevice, ...]
    troubles: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BoardParts:
    """What is done with switch boards.

    Attributes:
        read: All descriptions, the user's own first by name.
        read_plan: A planned list; raises WrongUse.
        write_sheet: Labels to cut into a new PDF file; returns the count of pages, raises Failed.
    """

    read: Callable[[], BoardLibrary]
    read_plan: Callable[[Path], PlanRead]
    write_sheet: Callable[[Path, Sequence[Label], Turn], int]


@dataclass(frozen=True, slots=True)
class Parts:
    """All of it."""

    open_line: OpensLine
    list_ports: Callable[[], tuple[ListedPort, ...]]
    records: RecordParts
    boards: BoardParts
    out: TextIO
    err: TextIO
    stop: StopRequest


class Failed(Exception):
    """A command that ends without what it was asked for.

    Attributes:
        sentence: What, where, what to do.
        status: The exit status that goes with it.
    """

    def __init__(self, sentence: str, status: ExitStatus) -> None:
        super().__init__(sentence)
        self.sentence = sentence
        self.status = status


class WrongUse(Exception):
    """Arguments or files that cannot be.

    Attributes:
        sentences: What, where, what to do; one each.
    """

    def __init__(self, *sentences: str) -> None:
        super().__init__("\n".join(sentences))
        self.sentences = sentences

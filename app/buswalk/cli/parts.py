"""What commands are handed: ways to open lines and list ports, where to write, and the stop request."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol, TextIO, TypeAlias

from buswalk.bus.parts import HeldLine
from buswalk.bus.stop_request import StopRequest
from buswalk.cli.exit_status import ExitStatus
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.registers.point_list.list_rows import ListRows
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.sunspec.definition import ModelDefinition
from buswalk.domain.report_sheet import ReportSheet
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.visit.recorder import OpenedRecord, Recorder
from buswalk.domain.visit.session_events import SessionStarted


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

    def __call__(self, choice: PortChoice) -> HeldLine:
        """Return the open line. Raises PortError, or WrongUse for a scenario that cannot be used."""


@dataclass(frozen=True, slots=True)
class RecordParts:
    """What is done with records.

    Attributes:
        open: For reading; raises RecordProblem.
        go_on: In a record that is there, of a simulated line or not; raises RecordProblem.
        write_report: A report into a new PDF file; returns the count of pages, raises Failed.
        save_lines: Writes lines to a new file; raises RecordProblem if it is there, or cannot be written.
    """

    open: Callable[[Path], RecordReader]
    go_on: Callable[[Path, bool], Recorder]
    save_lines: Callable[[Path, Iterable[str]], None]
    write_report: Callable[[Path, ReportSheet], int]


@dataclass(frozen=True, slots=True)
class NamedFile:
    """Record into this file: what cannot be recorded is not begun."""

    path: Path


@dataclass(frozen=True, slots=True)
class UsualPlace:
    """Record where records are; without one work goes on. Empty: the data folder of this user."""

    data_folder: str


@dataclass(frozen=True, slots=True)
class NoRecord:
    """Record nothing."""


RecordChoice: TypeAlias = NamedFile | UsualPlace | NoRecord


class OpensRecord(Protocol):
    """Opens the record of a session that begins."""

    def __call__(self, choice: RecordChoice, held: HeldLine, started: SessionStarted) -> OpenedRecord:
        """Return it. Raises RecordProblem for a named file that cannot be written."""


@dataclass(frozen=True, slots=True)
class RecordingParts:
    """What a command records its session by.

    Attributes:
        wall_now_s: Seconds since 1970 by the computer's clock.
        wall_words: Turns them into ISO 8601 with the offset of the zone.
    """

    open: OpensRecord
    wall_now_s: Callable[[], float]
    wall_words: Callable[[float], str]
    program: str


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
class ProfileParts:
    """What is done with register profiles.

    Attributes:
        read: All of them, the user's own first by name.
        named: The one of a name or of a file; raises WrongUse.
        check: Reads one file; raises WrongUse with every problem of it.
        schema_text: The JSON schema of the file format.
        sunspec_model: Definition of a model of that standard by its number; None for one that is not at hand.
        read_list: The rows of a point list, of the sheet that is named in a workbook; raises WrongUse.
        write_list: Puts rows into a new list file; raises Failed.
        keep: Keeps a profile among the user's own; returns its file, raises Failed.
    """

    read: Callable[[], ProfileLibrary]
    named: Callable[[str], RegisterProfile]
    check: Callable[[Path], RegisterProfile]
    schema_text: Callable[[], str]
    sunspec_model: Callable[[int], ModelDefinition | None]
    read_list: Callable[[Path, str], ListRows]
    write_list: Callable[[Path, Iterable[Sequence[str]]], None]
    keep: Callable[[RegisterProfile], str]


@dataclass(frozen=True, slots=True)
class Person:
    """Who may sit at the terminal.

    Attributes:
        is_there: Whether somebody can type; not where input comes from elsewhere.
        answer: Shows a question and returns what was typed; empty at the end of input.
    """

    is_there: bool
    answer: Callable[[str], str]


@dataclass(frozen=True, slots=True)
class Parts:
    """All of it."""

    open_line: OpensLine
    list_ports: Callable[[], tuple[ListedPort, ...]]
    records: RecordParts
    recording: RecordingParts
    boards: BoardParts
    profiles: ProfileParts
    person: Person
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


class OutputLost(Failed):
    """What a command has to say cannot be written."""


class WrongUse(Exception):
    """Arguments or files that cannot be.

    Attributes:
        sentences: What, where, what to do; one each.
    """

    def __init__(self, *sentences: str) -> None:
        super().__init__("\n".join(sentences))
        self.sentences = sentences

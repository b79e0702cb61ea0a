"""Builds what commands are handed: this computer's ports, its network, simulated lines, records."""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path
from typing import TextIO

from buswalk.board_parts import board_parts
from buswalk.bus.pace import Pace
from buswalk.bus.parts import HeldLine
from buswalk.bus.stop_request import StopRequest
from buswalk.bus_parts import PROGRAM, adapter_words, held_line, wall_words
from buswalk.cli.parts import (
    ListedPort,
    NamedFile,
    NoRecord,
    Parts,
    Person,
    PortChoice,
    RecordChoice,
    RecordingParts,
    RecordParts,
    UsualPlace,
    WrongUse,
)
from buswalk.domain.visit.recorder import OpenedRecord, Recorder
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.lines import WrongScenario, open_line
from buswalk.profile_parts import profile_parts
from buswalk.report_printing import write_report
from buswalk.storage.data_folders import data_folders
from buswalk.storage.folder_places import this_computer
from buswalk.storage.nothing_recorded import NothingRecorded
from buswalk.storage.port_records import RecordWish
from buswalk.storage.record_files import open_recorder, open_recorder_at
from buswalk.storage.saved_text import save_lines
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from buswalk.wire.port_list import list_ports


def standard_parts(out: TextIO, err: TextIO, stop: StopRequest) -> Parts:
    """Return what commands work with: this computer's ports, its network, and simulated lines."""
    return Parts(
        open_line=_open,
        list_ports=_listed,
        records=RecordParts(open_record, _go_on, save_lines, write_report),
        recording=RecordingParts(_open_recorder, time.time, wall_words, PROGRAM),
        boards=board_parts(),
        profiles=profile_parts(),
        person=Person(_somebody_types(), lambda question: _answer_to(question, err)),
        out=out,
        err=err,
        stop=stop,
    )


def _somebody_types() -> bool:
    return sys.stdin is not None and sys.stdin.isatty()


def _answer_to(question: str, err: TextIO) -> str:
    """The question goes to the error stream: output may be read by another program."""
    err.write(question)
    err.flush()
    return sys.stdin.readline()


def _open(choice: PortChoice) -> HeldLine:
    try:
        opened = open_line(
            choice.port, choice.settings, choice.options, Pace.VIRTUAL if choice.is_virtual else Pace.PACED
        )
    except WrongScenario as error:
        raise WrongUse(*error.problems) from error
    return held_line(opened)


def _open_recorder(choice: RecordChoice, held: HeldLine, started: SessionStarted) -> OpenedRecord:
    """Other records are not cleared here: that is the window's, at its start."""
    match choice:
        case NamedFile(path):
            return open_recorder_at(path, started, this_computer())
        case UsualPlace(data_folder):
            folders = data_folders(data_folder, os.environ)
            return open_recorder(folders, RecordWish(held.record_name, held.adapter_id), started, this_computer())
        case NoRecord():
            return OpenedRecord(NothingRecorded("", is_simulated=started.is_simulated), ())


def _go_on(path: Path, is_simulated: bool) -> Recorder:
    return open_visit_record(path, is_simulated=is_simulated)


def _listed() -> tuple[ListedPort, ...]:
    return tuple(ListedPort(one.port, one.words, adapter_words(one.identity)) for one in list_ports())

"""The functions that new processes begin in, and how the window starts them. What only they need is imported there."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path

from buswalk.bus.analysis_process import run_analysis_process
from buswalk.bus.kept_process import RunsProcess
from buswalk.bus.pace import Pace
from buswalk.domain.record_reader import RecordReader


@dataclass(frozen=True, slots=True)
class BusChoice:
    """What a bus process is started with: plain values, so that they travel to it.

    Attributes:
        data_folder: Chosen by the user; empty for the usual one.
    """

    pace: Pace
    data_folder: str


def bus_process(choice: BusChoice) -> RunsProcess:
    """Return what to start for the bus process."""
    return partial(hold_line, choice)


def analysis_process() -> RunsProcess:
    """Return what to start for the analysis process."""
    return read_records


def hold_line(choice: BusChoice, *ends: Connection) -> None:
    """Begin a bus process: it holds the line and writes the record."""
    from buswalk.bus.bus_process import run_bus_process
    from buswalk.bus_parts import bus_parts

    run_bus_process(lambda: bus_parts(choice.pace, choice.data_folder), *ends)


def read_records(*ends: Connection) -> None:
    """Begin an analysis process."""
    from buswalk.storage.visit_record.reader import open_record

    def open_path(path: str) -> RecordReader:
        return open_record(Path(path))

    run_analysis_process(open_path, *ends)

"""The functions that new processes begin in, and how the window starts them."""

from __future__ import annotations

from functools import partial
from multiprocessing.connection import Connection
from pathlib import Path

from buswalk.bus.analysis_process import run_analysis_process
from buswalk.bus.bus_process import run_bus_process
from buswalk.bus.kept_process import RunsProcess
from buswalk.bus_parts import BusChoice, bus_parts
from buswalk.domain.record_reader import RecordReader
from buswalk.storage.visit_record.reader import open_record


def bus_process(choice: BusChoice) -> RunsProcess:
    """Return what to start for the bus process."""
    return partial(_run_bus, choice)


def analysis_process() -> RunsProcess:
    """Return what to start for the analysis process."""
    return _run_analysis


def _run_bus(choice: BusChoice, *ends: Connection) -> None:
    run_bus_process(lambda: bus_parts(choice), *ends)


def _run_analysis(*ends: Connection) -> None:
    run_analysis_process(_open, *ends)


def _open(path: str) -> RecordReader:
    return open_record(Path(path))

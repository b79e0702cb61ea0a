"""Writes what was not clean in a record into a file, in a process of its own: the window does not wait for it."""

from __future__ import annotations

import multiprocessing
from collections.abc import Callable
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path

from buswalk.cli.fault_counting import Listed, counted_report
from buswalk.cli.fault_export import Counted, export
from buswalk.cli.fault_filter_options import Looked
from buswalk.cli.parts import Failed, RecordParts
from buswalk.domain.record_export import Unreadable
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.visit.marks import current_marks, mark_span
from buswalk.domain.visit.recorder import Recorder, RecordProblem
from buswalk.report_printing import write_report
from buswalk.storage.saved_text import save_lines
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record

KEPT = 0
"""Nothing is kept of the list while counting: it is gone through once more while writing."""
ENDED = "the part of buswalk that writes files ended unexpectedly: nothing is known of the file"


@dataclass(frozen=True, slots=True)
class FaultsToWrite:
    """Which record, which of its exchanges, and where to; the ending of the file says how."""

    record: str
    wanted: FaultFilter
    file: str


def write_faults(wish: FaultsToWrite) -> str:
    """Write it; return one sentence of what came of it."""
    try:
        reader = open_record(Path(wish.record))
    except RecordProblem as problem:
        return problem.sentence
    records = RecordParts(open_record, _goes_on, save_lines, write_report)
    try:
        marks = current_marks(reader.marks())
        looked = Looked(wish.wanted, (), ())
        unreadable = Unreadable()
        report = counted_report(reader, looked, Listed(KEPT, tuple(mark_span(one) for one in marks)), unreadable)
        counted = Counted(reader.facts(), looked, report, marks, 0.0, unreadable)
        done = export(wish.file, counted, reader, records)
    except RecordProblem as problem:
        return problem.sentence
    except Failed as reason:
        return reason.sentence
    finally:
        reader.close()
    names = " and ".join(Path(one).name for one in done.files)
    left_out = f"; {unreadable.rows} rows cannot be read and are left out" if unreadable.rows else ""
    return f"saved as {names}{left_out}"


def _goes_on(path: Path, is_simulated: bool) -> Recorder:
    return open_visit_record(path, is_simulated=is_simulated)


def write_and_tell(wish: FaultsToWrite, told: Connection) -> None:
    """Begin a process that writes one file."""
    told.send(write_faults(wish))
    told.close()


@dataclass(slots=True)
class _Running:
    process: multiprocessing.process.BaseProcess
    told: Connection
    take: Callable[[str], None]


class FaultExports:
    """Starts such processes, and hands over what came of them out of `deliver`, in the caller's thread."""

    def __init__(self) -> None:
        self._running: list[_Running] = []

    def start(self, wish: FaultsToWrite, take: Callable[[str], None]) -> None:
        """Write; `take` gets one sentence, later."""
        spawn = multiprocessing.get_context("spawn")
        ours, theirs = spawn.Pipe(duplex=False)
        process = spawn.Process(target=write_and_tell, args=(wish, theirs), daemon=True)
        process.start()
        theirs.close()
        self._running.append(_Running(process, ours, take))

    def deliver(self) -> None:
        """Hand over what has come. Never waits."""
        for one in tuple(self._running):
            if not one.told.poll():
                continue
            try:
                sentence = str(one.told.recv())
            except (EOFError, OSError):
                sentence = ENDED
            self._running.remove(one)
            one.told.close()
            one.take(sentence)

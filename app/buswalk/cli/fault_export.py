"""`faults --export FILE`: what was counted, for a spreadsheet (.csv), for programs (.jsonl) or on paper (.pdf)."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.fault_counting import abnormal_exchanges
from buswalk.cli.fault_events import claim_checked, device_faults, inside_marks
from buswalk.cli.fault_filter_options import Looked
from buswalk.cli.fault_sheet import fault_sheet
from buswalk.cli.mark_words import numbered_mark
from buswalk.cli.parts import Failed, RecordParts, WrongUse
from buswalk.domain.event_json import SCHEMA, event_json
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.record_export import Unreadable, csv_lines, exchange_csv
from buswalk.domain.record_reader import RecordedExchange, RecordFacts, RecordReader
from buswalk.domain.statistics.claim import claim_on
from buswalk.domain.statistics.device_quality import DeviceQuality
from buswalk.domain.statistics.fault_report import FaultReport
from buswalk.domain.statistics.limits import lower_limit, upper_limit
from buswalk.domain.visit.marks import Mark
from buswalk.domain.visit.recorder import RecordProblem

TABLE_COLUMNS = (
    "simulated",
    "server_address",
    "asked",
    "answered",
    "refused",
    "no_reply",
    "damaged",
    "short",
    "late",
    "other",
    "stray",
    "foreign",
    "trials",
    "not_clean",
    "lower_95",
    "upper_95",
)


@dataclass(frozen=True, slots=True)
class FaultsExported:
    """Files that were written, and how many exchanges they list."""

    files: tuple[str, ...]
    exchanges: int


@dataclass(frozen=True, slots=True)
class Counted:
    """What a record showed, ready to be handed over.

    Attributes:
        marks: All marks, each with its counts in `report.each`.
        accept: The share that was claimed; 0 without a claim.
    """

    facts: RecordFacts
    looked: Looked
    report: FaultReport
    marks: tuple[Mark, ...]
    accept: float
    unreadable: Unreadable


def require_export(file: str) -> None:
    """See that a file can be written in one of the ways, before anything is counted. Raises WrongUse."""
    if file and Path(file).suffix.lower() not in _WAYS:
        raise WrongUse(f"--export {file} cannot be: the name ends in {', '.join(_WAYS)}")


def export(file: str, counted: Counted, reader: RecordReader, records: RecordParts) -> FaultsExported:
    """Write it. Raises Failed."""
    path = Path(file)
    try:
        return _WAYS[path.suffix.lower()](path, counted, reader, records)
    except RecordProblem as problem:
        raise Failed(problem.sentence, ExitStatus.CANNOT_RECORD) from problem


def _write_csv(path: Path, counted: Counted, reader: RecordReader, records: RecordParts) -> FaultsExported:
    """Two files: one row an exchange, and one row a device."""
    listed = _Listed(reader, counted)
    table = path.with_name(f"{path.stem}-table{path.suffix}")
    records.save_lines(path, exchange_csv(reader, listed.exchanges()))
    records.save_lines(table, csv_lines([TABLE_COLUMNS, *_table_rows(counted)]))
    return FaultsExported((str(path), str(table)), listed.count)


def _table_rows(counted: Counted) -> Iterator[tuple[object, ...]]:
    for quality in counted.report.devices:
        row = quality.row
        yield (
            "yes" if counted.facts.is_simulated else "no",
            row.server_address,
            row.asked,
            row.answered,
            row.refused,
            row.no_reply,
            row.damaged,
            row.short,
            row.late,
            sum(row.other.values()),
            row.beside.stray,
            row.beside.foreign,
            row.trials,
            row.not_clean,
            *(_limits(quality) if row.trials else ("", "")),
        )


def _limits(quality: DeviceQuality) -> tuple[float, float]:
    seen, trials = quality.row.not_clean, quality.row.trials
    return round(lower_limit(seen, trials), 9), round(upper_limit(seen, trials), 9)


def _write_json_lines(path: Path, counted: Counted, reader: RecordReader, records: RecordParts) -> FaultsExported:
    listed = _Listed(reader, counted)
    records.save_lines(path, _json_lines(counted, listed))
    return FaultsExported((str(path),), listed.count)


def _json_lines(counted: Counted, listed: _Listed) -> Iterator[str]:
    yield json.dumps({"event": "started", "schema": SCHEMA, "command": "faults", "port": counted.facts.path})
    report = counted.report
    events: list[object] = [counted.facts]
    events += [numbered_mark(one, counted.facts.sessions) for one in counted.marks]
    events += [device_faults(one) for one in report.devices]
    events += [inside_marks(one) for one in report.inside]
    if counted.accept:
        claims = [(claim_on(counted.accept, one.row.not_clean, one.row.trials), one) for one in report.devices]
        events += [claim_checked(*one) for one in claims]
    yield from (_line(one) for one in events)
    yield from (_line(ExchangeDone(one.exchange)) for one in listed.exchanges())


def _line(event: object) -> str:
    return json.dumps(event_json(event), ensure_ascii=False)


def _write_pdf(path: Path, counted: Counted, reader: RecordReader, records: RecordParts) -> FaultsExported:
    sheet = fault_sheet(counted.facts, counted.looked, counted.report, counted.marks, reader)
    records.write_report(path, sheet)
    return FaultsExported((str(path),), len(counted.report.abnormal))


class _Listed:
    """Goes once through the list of the filter, and counts it."""

    def __init__(self, reader: RecordReader, counted: Counted) -> None:
        self._all = abnormal_exchanges(reader, counted.looked.wanted, counted.unreadable)
        self.count = 0

    def exchanges(self) -> Iterator[RecordedExchange]:
        """Yield them in order."""
        for one in self._all:
            self.count += 1
            yield one


_WAYS: dict[str, Callable[[Path, Counted, RecordReader, RecordParts], FaultsExported]] = {
    ".csv": _write_csv,
    ".jsonl": _write_json_lines,
    ".pdf": _write_pdf,
}

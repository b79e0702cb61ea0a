"""Which records are of one port or adapter, and what they tell a session that begins: plan, devices, writes."""

from __future__ import annotations

import re
from collections.abc import Iterable
from contextlib import closing
from dataclasses import dataclass
from pathlib import Path

from buswalk.domain.record_reader import WRITE_KINDS, RecordReader, found_devices
from buswalk.domain.registers.writing.earlier_writes import RecordedWrites, earlier_writes
from buswalk.domain.visit.recorder import OpenedRecord, Recorder, RecordProblem
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import ENDING

LONGEST_NAME = 60
LAST_RECORDS = 5
"""So many records of a port are looked through for what was changed and not put back (judgement, no source)."""
_NOT_IN_NAMES = re.compile(r"[^\w.]+")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}-")


@dataclass(frozen=True, slots=True)
class RecordWish:
    """What a session is recorded by.

    Attributes:
        name: The port as the user names it, or the site of a simulated line.
        adapter: What tells this very adapter from others, so that it is known under another port name; empty where
            nothing does.
    """

    name: str
    adapter: str = ""


def clean_name(name: str) -> str:
    """Return a name of letters, digits and single dashes for a file, from a port or from what somebody wrote."""
    return _NOT_IN_NAMES.sub("-", name.removeprefix("/dev/")).strip("-._")[:LONGEST_NAME]


def records_in(folder: Path) -> list[Path]:
    """Return the records in a folder, by name: those of a day after those of the day before."""
    return sorted(folder.glob(f"*{ENDING}")) if folder.is_dir() else []


def is_of_another_adapter(path: Path, wish: RecordWish) -> bool:
    """Tell whether a record is known to be of another adapter."""
    if not wish.adapter or not path.exists():
        return False
    adapters = adapters_of(path)
    return bool(adapters) and wish.adapter not in adapters


def adapters_of(path: Path) -> frozenset[str]:
    """Return what is known of the adapters in a record; nothing of one that cannot be read."""
    try:
        with closing(open_record(path)) as reader:
            return reader.adapters()
    except RecordProblem:
        return frozenset()


def last_records_of(folder: Path, wish: RecordWish, but: Path) -> tuple[Path, ...]:
    """Return the last records of a port or adapter before the one that goes on, the oldest first."""
    name = re.escape(clean_name(wish.name) or "line")
    of_name = re.compile(rf"{_DAY.pattern}{name}(-\d+)?{re.escape(ENDING)}")
    dated = [path for path in records_in(folder) if path != but and _DAY.match(path.name)]
    found: list[Path] = []
    for path in sorted(dated, key=lambda one: (one.name[:10], one.stat().st_mtime), reverse=True):
        if _is_of(path, wish, is_named=bool(of_name.fullmatch(path.name))):
            found.append(path)
        if len(found) == LAST_RECORDS:
            break
    return tuple(reversed(found))


def _is_of(path: Path, wish: RecordWish, *, is_named: bool) -> bool:
    if is_named:
        return not is_of_another_adapter(path, wish)
    return bool(wish.adapter) and wish.adapter in adapters_of(path)


def opened_record(recorder: Recorder, notices: tuple[str, ...], path: Path, older: Iterable[Path]) -> OpenedRecord:
    """Return a recorder with what its file and the older records of the port tell."""
    told, not_read = [], []
    for one in older:
        try:
            with closing(open_record(one)) as reader:
                told.append(_writes_of(one, reader, goes_on=False))
        except RecordProblem:
            not_read.append(one.name)
    try:
        with closing(open_record(path)) as reader:
            plan, found = reader.plan(), found_devices(reader.findings())
            told.append(_writes_of(path, reader, goes_on=True))
    except RecordProblem:
        return OpenedRecord(recorder, notices, earlier=earlier_writes(told, (*not_read, path.name)))
    planned = plan.devices if plan is not None else ()
    addresses = tuple(sorted({one.server_address for one in found}))
    return OpenedRecord(recorder, notices, planned, earlier_writes(told, tuple(not_read)), addresses)


def _writes_of(path: Path, reader: RecordReader, *, goes_on: bool) -> RecordedWrites:
    events = tuple((one.session, one.event) for one in reader.events_of(WRITE_KINDS))
    with_writes = {session for session, _ in events}
    sessions = (
        tuple((one.session, one.started.wall_time) for one in reader.facts().sessions if one.session in with_writes)
        if events
        else ()
    )
    return RecordedWrites(path.name, sessions, events, goes_on)

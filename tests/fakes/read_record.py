"""What is in a record, read from its file in one call."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from buswalk.domain.event_json import event_json
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.record_reader import RecordFacts
from buswalk.storage.visit_record.reader import open_record

MOST_ROWS = 10_000


def facts_of(path: Path) -> RecordFacts:
    """Return what it is, with its sessions."""
    with closing(open_record(path)) as reader:
        return reader.facts()


def events_of(path: Path) -> list[object]:
    """Return its events in order."""
    with closing(open_record(path)) as reader:
        return [one.event for one in reader.events(1, MOST_ROWS)]


def kinds_of(path: Path) -> list[str]:
    """Return their kinds in order, runs of the same kind told once."""
    kinds = [str(event_json(one)["event"]) for one in events_of(path)]
    return [kind for kind, before in zip(kinds, ["", *kinds], strict=False) if kind != before]


def numbers_of(path: Path) -> list[int]:
    """Return the numbers of its exchanges in order."""
    return [one.exchange.number for one in events_of(path) if isinstance(one, ExchangeDone)]


def records_in(folder: Path) -> list[str]:
    """Return all records in a folder and below."""
    return sorted(str(one.relative_to(folder)) for one in folder.rglob("*.buswalk.sqlite"))

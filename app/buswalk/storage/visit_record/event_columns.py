"""What is no traffic, from its columns: JSON that says its own kind."""

from __future__ import annotations

import json
from typing import Any, TypeVar

from buswalk.domain.event_reading import UnreadableEvent, event_from
from buswalk.domain.record_reader import RecordedEvent, UnknownEvent
from buswalk.storage.visit_record.exchange_columns import NS

T = TypeVar("T")
EVENT_COLUMNS = "row, session, at_ns, kind, json"


def recorded_from(columns: tuple[Any, ...]) -> RecordedEvent:
    """Return an event from EVENT_COLUMNS."""
    row, session, at_ns, kind, text = columns
    return RecordedEvent(row, session, event_of(kind, text), at_ns / NS)


def event_of(kind: str, text: str) -> object:
    """Return an event; one that this version does not know as such."""
    try:
        return event_from(kind, json.loads(text))
    except UnreadableEvent:
        return UnknownEvent(kind, text)


def known_event(of_kind: type[T], kind: str, text: str) -> T:
    """Return an event that must be of this kind. Raises ValueError."""
    event = event_from(kind, json.loads(text))
    if not isinstance(event, of_kind):
        raise ValueError(f"{kind} stands where {of_kind.__name__} must")
    return event

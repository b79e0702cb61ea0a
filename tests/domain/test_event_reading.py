"""Every event comes back from its JSON as it was; what is no event of this version is said to be none."""

from __future__ import annotations

import json

import pytest

from buswalk.domain.event_json import Json, event_json
from buswalk.domain.event_reading import EVENT_KINDS, UnreadableEvent, event_from, value_from
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.search.events import Verdict
from tests.fakes.every_event import EVERY_EVENT


def through_text(event: object) -> dict[str, Json]:
    values: dict[str, Json] = json.loads(json.dumps(event_json(event)))
    return values


@pytest.mark.parametrize("event", EVERY_EVENT, ids=lambda one: type(one).__name__)
def test_an_event_comes_back_as_it_was(event: object) -> None:
    values = through_text(event)

    assert event_from(str(values.pop("event")), values) == event


def test_there_is_an_example_of_every_kind() -> None:
    assert {type(one) for one in EVERY_EVENT} == set(EVENT_KINDS.values())


@pytest.mark.parametrize(
    ("kind", "values"),
    [
        ("tomorrows_event", {}),
        ("port_closed", {}),
        ("port_closed", {"port": 3, "at_s": 1.0}),
        ("port_closed", {"port": "x", "at_s": "soon"}),
        ("port_closed", {"port": "x", "at_s": True}),
        ("settings_applied", {"settings": "9600", "at_s": 1.0}),
        ("settings_applied", {"settings": "9600 9X9", "at_s": 1.0}),
        ("search_ended", {"end": "unheard_of", "asked": 1, "devices": 0, "seconds": 1.0, "sentence": ""}),
        ("stray_arrival", {"arrival": {"data": "0G", "marks": [], "not_before_s": 0.0, "not_after_s": 0.0}}),
        ("stray_arrival", {"arrival": {"data": "", "marks": [], "not_before_s": 0.0, "not_after_s": 0.0}}),
    ],
)
def test_what_is_no_event_of_this_version_is_not_guessed(kind: str, values: dict[str, Json]) -> None:
    with pytest.raises(UnreadableEvent):
        event_from(kind, values)


def test_settings_are_read_as_they_are_written() -> None:
    assert value_from(SerialSettings, "115200 8O1") == SerialSettings.of(115_200, "8O1")


def test_a_record_of_an_older_version_lacks_what_came_later() -> None:
    """Listening said nothing of who asks whom once: such a record is read, and says nothing of it."""
    values: dict[str, Json] = {
        "settings": "9600 8N1",
        "seconds": 3.0,
        "verdict": "silent",
        "byte_count": 0,
        "frames": [],
    }

    event = event_from("listening_ended", values)

    assert event == ListeningEnded(SerialSettings.of(9600, "8N1"), 3.0, Verdict.SILENT, 0, (), (), ())


def test_what_an_event_must_have_is_not_made_up() -> None:
    with pytest.raises(UnreadableEvent):
        event_from("listening_ended", {"settings": "9600 8N1", "seconds": 3.0, "verdict": "silent", "frames": []})

"""Two times as people write them: which parts of which sessions lie between them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buswalk.domain.record_reader import EndedInOrder, RecordedSession
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.record_time import said_between
from buswalk.domain.visit.session_events import SessionStarted

FIRST = RecordedSession(
    1, SessionStarted("2026-03-05T21:00:00.000+01:00", 1.0, is_simulated=False, program="x"), EndedInOrder(36_000.0), 10
)
"""Ten hours, from nine in the evening on."""
SECOND = replace(
    FIRST,
    session=2,
    started=replace(FIRST.started, wall_time="2026-03-07T08:00:00.000+01:00"),
    end=EndedInOrder(7_200.0),
)
BOTH = (FIRST, SECOND)


@pytest.mark.parametrize(
    ("from_text", "to_text", "spans"),
    [
        ("", "", (MarkedSpan(1, 0.0, 36_000.0), MarkedSpan(2, 0.0, 7_200.0))),
        ("22:00", "23:00", (MarkedSpan(1, 3_600.0, 7_200.0),)),
        ("22:00", "02:00", (MarkedSpan(1, 3_600.0, 18_000.0),)),
        ("2026-03-05", "2026-03-05", (MarkedSpan(1, 0.0, 10_800.0),)),
        ("2026-03-06", "", (MarkedSpan(1, 10_800.0, 36_000.0), MarkedSpan(2, 0.0, 7_200.0))),
        ("2026-03-07 09:00", "2026-03-07", (MarkedSpan(2, 3_600.0, 7_200.0),)),
        ("", "60s", (MarkedSpan(1, 0.0, 60.0), MarkedSpan(2, 0.0, 60.0))),
    ],
)
def test_two_texts_are_parts_of_sessions(from_text: str, to_text: str, spans: tuple[MarkedSpan, ...]) -> None:
    """Reckoned by hand from the starts above; 22:00 to 02:00 lasts over midnight, a day lasts to its end."""
    assert said_between(from_text, to_text, BOTH) == spans


@pytest.mark.parametrize(
    ("from_text", "to_text", "words"),
    [
        ("noon", "", "'noon' is no time"),
        ("2026-02-30", "", "'2026-02-30' is no time"),
        ("", "2026-3-5", "'2026-3-5' is no time"),
        ("2026-03-07", "2026-03-06 12:00", "lies before"),
        ("90s", "60s", "lies before"),
        ("2026-03-09", "", "no session of this record lies between"),
    ],
)
def test_what_is_no_time_is_one_sentence(from_text: str, to_text: str, words: str) -> None:
    with pytest.raises(ValueError, match=words):
        said_between(from_text, to_text, BOTH)

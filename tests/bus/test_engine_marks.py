"""Marks through the engine: made back in time, ended, edited and taken back; what cannot be is refused."""

from __future__ import annotations

import pytest

from buswalk.bus.messages import (
    AtTime,
    Command,
    EditMark,
    EndMark,
    MakeMark,
    OpenPort,
    Refused,
    TakeBackMark,
)
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.visit.mark_end import NO_END, EndsAt
from buswalk.domain.visit.session_events import MarkEdited, MarkEnded, MarkMade, MarkSource, MarkTakenBack
from tests.bus.engine_bench import EngineBench

OPEN = OpenPort("demo:greenhouse-first-day", SerialSettings.of(9600, "8N1"))


def test_a_mark_is_made_back_in_time_ended_edited_and_taken_back() -> None:
    """Its row names it: session, port and plan are rows 1 to 3. A moment that has not come yet is now."""
    bench = EngineBench()

    bench.run(
        OPEN, MakeMark("fan on", AtTime(99.0)), EndMark(4), EditMark(4, "fan 2", 0.0, EndsAt(3.0)), TakeBackMark(4)
    )

    assert bench.items_of(Refused) == []
    (made,), (ended,) = bench.of(MarkMade), bench.of(MarkEnded)
    assert (made.words, made.source, made.at_s) == ("fan on", MarkSource.USER, 0.0)
    assert (ended.mark, ended.end_s) == (4, 0.0)
    assert bench.of(MarkEdited) == [MarkEdited(4, "fan 2", 0.0, EndsAt(3.0), 0.0)]
    assert bench.of(MarkTakenBack) == [MarkTakenBack(4, 0.0)]


@pytest.mark.parametrize(
    ("command", "words"),
    [
        (EndMark(3), "no such mark"),
        (TakeBackMark(0), "no such mark"),
        (EditMark(4, "x", 5.0, EndsAt(4.0)), "ends behind its start"),
        (EditMark(4, "x", -1.0, NO_END), "ends behind its start"),
        (MakeMark("x", AtTime(0.0), EndsAt(-1.0)), "ends behind its start"),
    ],
)
def test_a_mark_that_cannot_be_is_refused_in_a_sentence(command: Command, words: str) -> None:
    bench = EngineBench()

    bench.run(OPEN, MakeMark("fan on"), command)

    (refused,) = bench.items_of(Refused)
    assert words in refused.sentence

"""Marks as they stand after everything that was said of them."""

from __future__ import annotations

from math import inf

from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.visit.mark_end import NO_END, EndsAt
from buswalk.domain.visit.marks import Mark, current_marks, mark_span
from buswalk.domain.visit.session_events import MarkEdited, MarkEnded, MarkMade, MarkSource, MarkTakenBack

USER = MarkSource.USER
FAN = MarkMade("fan on", USER, 10.0)


def marks_of(*events: object, session: int = 1) -> tuple[Mark, ...]:
    """Return what stands; the first event is row 1."""
    return current_marks(RecordedEvent(row, session, event, 0.0) for row, event in enumerate(events, start=1))


def test_a_mark_begins_at_its_moment_and_has_no_end() -> None:
    assert marks_of(FAN) == (Mark(1, 1, 1, "fan on", USER, 10.0, NO_END),)


def test_a_mark_can_be_said_with_its_end_and_for_an_earlier_session() -> None:
    (mark,) = marks_of(MarkMade("charger", USER, 1.0, EndsAt(2.0), 1), session=3)

    assert (mark.session, mark.end) == (1, EndsAt(2.0))


def test_an_end_said_later_is_its_end() -> None:
    (mark,) = marks_of(FAN, MarkEnded(1, 25.0, 25.0))

    assert (mark.end, mark.is_edited) == (EndsAt(25.0), False)


def test_the_last_word_holds() -> None:
    """Set back in time, renamed, then its end taken away."""
    (mark,) = marks_of(FAN, MarkEnded(1, 25.0, 25.0), MarkEdited(1, "fan 2 on", 4.0, NO_END, 30.0))

    assert mark == Mark(1, 1, 1, "fan 2 on", USER, 4.0, NO_END, is_edited=True)


def test_numbers_stay_when_a_mark_is_taken_back() -> None:
    marks = marks_of(FAN, MarkMade("mistake", USER, 11.0), MarkTakenBack(2, 12.0), MarkMade("fan off", USER, 20.0))

    assert [(one.number, one.row, one.words) for one in marks] == [(1, 1, "fan on"), (3, 4, "fan off")]


def test_what_cannot_be_changes_nothing() -> None:
    """A mark that is not there; an end before its start; an edit of one taken back."""
    nonsense = (
        MarkEnded(7, 12.0, 12.0),
        MarkEnded(1, 9.0, 12.0),
        MarkEdited(1, "x", 5.0, EndsAt(4.0), 12.0),
        MarkEdited(1, "x", -1.0, NO_END, 12.0),
        MarkTakenBack(9, 1.0),
    )

    assert marks_of(FAN, *nonsense) == marks_of(FAN)
    assert marks_of(FAN, MarkTakenBack(1, 11.0), MarkEdited(1, "x", 5.0, NO_END, 12.0)) == ()


def test_a_mark_is_a_span_and_without_end_lasts_to_the_end_of_its_session() -> None:
    ended, unended = marks_of(MarkMade("a", USER, 1.0, EndsAt(2.0)), MarkMade("b", USER, 3.0))

    assert mark_span(ended) == MarkedSpan(1, 1.0, 2.0)
    assert mark_span(unended) == MarkedSpan(1, 3.0, inf)


def test_what_a_hand_or_a_clock_did_is_a_moment_until_somebody_says_its_end() -> None:
    """Only people say that something lasts; a span of no length has nothing inside."""
    hand, clock, user = marks_of(
        MarkMade("fan on", MarkSource.HAND, 10.0), MarkMade("jumped", MarkSource.CLOCK, 20.0), FAN
    )
    (ended,) = marks_of(MarkMade("fan on", MarkSource.HAND, 10.0), MarkEnded(1, 25.0, 25.0))

    assert [one.is_moment for one in (hand, clock, user, ended)] == [True, True, False, False]
    assert mark_span(hand) == MarkedSpan(1, 10.0, 10.0)
    assert mark_span(ended) == MarkedSpan(1, 10.0, 25.0)

"""Writes of the sessions before, joined over records: what one visit changed and a later one put back is as before."""

from __future__ import annotations

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.earlier_writes import RecordedWrites, earlier_writes
from buswalk.domain.registers.writing.events import FoundAsBefore, OldRead, ReadBack, WriteAnswer, WriteBegun, Written
from buswalk.domain.registers.writing.intended import IntendedWrite, RawPlace
from buswalk.domain.registers.writing.verdict import Verdict
from tests.fakes.asked_site import N81

MONDAY, TUESDAY = "2026-03-02T08:00:00+01:00", "2026-03-03T09:00:00+01:00"


def to(new: int) -> IntendedWrite:
    return IntendedWrite(37, N81, RawPlace(Table.HOLDING_REGISTERS, 5), (new,))


def wrote(old: int, new: int) -> tuple[tuple[int, object], ...]:
    """One write of session 1, looked at once."""
    return (
        (1, WriteBegun(1, to(new), OldRead((old,), 3), "x", 1.0)),
        (1, Written(1, 4, 6, WriteAnswer.CONFIRMED, 0, 1.1)),
        (1, ReadBack(1, 0.0, 5, (new,), Verdict.HELD, 1.2)),
    )


def test_what_a_later_visit_put_back_is_as_before() -> None:
    monday = RecordedWrites("monday", ((1, MONDAY),), wrote(20, 21))
    tuesday = RecordedWrites("tuesday", ((1, TUESDAY),), wrote(21, 20))

    assert len(earlier_writes((monday,)).writes.not_put_back()) == 1
    assert earlier_writes((monday, tuesday)).writes.not_put_back() == ()


def test_over_two_visits_the_first_old_value_counts_and_each_session_keeps_its_name() -> None:
    monday = RecordedWrites("monday", ((1, MONDAY),), wrote(20, 21))
    tuesday = RecordedWrites("tuesday", ((1, TUESDAY),), wrote(21, 22), goes_on=True)

    earlier = earlier_writes((monday, tuesday))

    (change,) = earlier.writes.not_put_back()
    assert change.first.begun.old == OldRead((20,), 3)
    assert (change.whole.begun.old, change.whole.begun.intended.words) == (OldRead((20,), 3), (22,))
    assert [one.words for one in earlier.sessions] == ["session 1 of monday", "session 1 of tuesday"]
    assert [one.session for one in earlier.sessions] == [-2, -1]
    assert [one.begun.intended.words for one in earlier.of_visit.writes] == [(22,)]


def test_a_value_that_was_found_as_before_closes_the_change() -> None:
    found = (1, FoundAsBefore(to(20), (20,), 9, 50.0))

    assert (
        earlier_writes((RecordedWrites("monday", ((1, MONDAY),), (*wrote(20, 21), found)),)).writes.not_put_back() == ()
    )


def test_without_writes_there_is_nothing_and_no_visit_goes_on() -> None:
    nothing = earlier_writes((RecordedWrites("monday", (), (), goes_on=True),), ("torn",))

    assert (nothing.writes.writes, nothing.visit_from, nothing.not_read) == ((), 0, ("torn",))

"""What was changed in a visit and not put back: a fold of events, checked on series written out by hand."""

from __future__ import annotations

import pytest

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.events import OldNotRead, OldRead, ReadBack, WriteAnswer, WriteBegun, Written
from buswalk.domain.registers.writing.intended import IntendedWrite, RawPlace
from buswalk.domain.registers.writing.verdict import Verdict
from buswalk.domain.registers.writing.visit_writes import MayNotPutBack, MayPutBack, VisitWrites, visit_writes
from tests.fakes.asked_site import N81


def begun(number: int, new: int, old: int | None, register: int = 5) -> WriteBegun:
    intended = IntendedWrite(37, N81, RawPlace(Table.HOLDING_REGISTERS, register), (new,))
    before = OldNotRead("no reply") if old is None else OldRead((old,), number * 10)
    return WriteBegun(number, intended, before, "test", float(number))


def written(number: int, answer: WriteAnswer = WriteAnswer.CONFIRMED) -> Written:
    return Written(number, number * 10 + 1, 6, answer, 0, float(number))


def look(number: int, words: tuple[int, ...], verdict: Verdict = Verdict.HELD) -> ReadBack:
    return ReadBack(number, 0.0, number * 10 + 2, words, verdict, float(number))


def changed(*events: object) -> list[tuple[tuple[int, ...], tuple[int, ...]]]:
    """Return old and last words of each place that is not as it was."""
    return [
        (one.first.begun.old.words if isinstance(one.first.begun.old, OldRead) else (), one.last.left_behind)
        for one in visit_writes((1, event) for event in events).not_put_back()
    ]


def test_a_changed_value_is_listed_until_the_old_one_stands_there_again() -> None:
    first = (begun(1, 21, 20), written(1), look(1, (21,)))

    assert changed(*first) == [((20,), (21,))]
    assert changed(*first, begun(2, 20, 21), written(2), look(2, (20,))) == []


def test_of_several_writes_the_first_old_value_counts() -> None:
    events = (begun(1, 21, 20), written(1), look(1, (21,)), begun(2, 22, 21), written(2), look(2, (22,)))

    assert changed(*events) == [((20,), (22,))]


def test_a_write_that_was_put_back_without_looking_is_not_taken_for_put_back() -> None:
    events = (begun(1, 21, 20), written(1), look(1, (21,)), begun(2, 20, 21), written(2))

    assert changed(*events) == [((20,), (20,))]


def test_a_write_that_was_broken_off_before_its_answer_is_listed() -> None:
    """The program was killed between sending and reading back: the device may have taken it."""
    assert changed(begun(1, 21, 20)) == [((20,), (21,))]


@pytest.mark.parametrize("answer", [WriteAnswer.REFUSED, WriteAnswer.NOT_SENT])
def test_what_was_refused_or_never_left_is_not_listed(answer: WriteAnswer) -> None:
    assert changed(begun(1, 21, None), written(1, answer)) == []


def test_what_was_refused_and_changed_all_the_same_is_listed() -> None:
    assert changed(begun(1, 21, 20), written(1, WriteAnswer.REFUSED), look(1, (21,))) == [((20,), (21,))]


def test_what_was_ignored_or_fell_back_to_the_old_value_is_not_listed() -> None:
    assert changed(begun(1, 21, 20), written(1), look(1, (20,), Verdict.IGNORED)) == []
    assert changed(begun(1, 21, 20), written(1), look(1, (21,)), look(1, (20,), Verdict.FELL_BACK)) == []


def test_other_places_and_other_sessions_are_kept_apart() -> None:
    """Writes are counted from 1 in each session of a record."""
    writes = visit_writes(
        [(1, begun(1, 21, 20)), (1, written(1)), (2, begun(1, 7, 6, register=9)), (2, written(1)), (2, look(1, (7,)))]
    )

    assert [one.looks for one in writes.writes] == [(), ((7,),)]
    assert len(writes.not_put_back()) == 2


@pytest.mark.parametrize(
    ("old", "present", "is_allowed", "words"),
    [(20, 21, True, ""), (20, 20, False, "already"), (20, 25, False, "somebody else"), (None, 21, False, "not known")],
)
def test_only_a_known_old_value_is_put_back_over_what_is_ours(
    old: int | None, present: int, is_allowed: bool, words: str
) -> None:
    writes = visit_writes([(1, begun(1, 21, old)), (1, written(1)), (1, look(1, (21,)))])

    answer = writes.putting_back(1, (present,))

    if is_allowed:
        assert answer == MayPutBack((20,))
    else:
        assert isinstance(answer, MayNotPutBack)
        assert words in answer.sentence


def test_writes_to_a_place_are_counted_as_far_as_they_left() -> None:
    events = [(1, begun(1, 21, 20)), (1, written(1)), (1, begun(2, 22, 21)), (1, written(2, WriteAnswer.NOT_SENT))]

    assert visit_writes(events).count_to(begun(1, 21, 20).intended.target) == 1
    assert VisitWrites().count_to(begun(1, 21, 20).intended.target) == 0

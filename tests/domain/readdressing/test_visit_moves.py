"""What was moved and not put back, from the events of a visit."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.events import (
    LookedAfter,
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    RestartSeen,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.readdressing.visit_moves import NO_MOVES, VisitMoves
from buswalk.domain.registers.writing.events import WriteAnswer

SLOW = SerialSettings.of(9600, "8N1")
ONE, FORTY_FIVE = Reach(1, SLOW), Reach(45, SLOW)
TO_45, TO_1, SAVE = RegisterValue(100, 45), RegisterValue(100, 1), RegisterValue(255, 1)


def fold(*events: object) -> VisitMoves:
    moves = NO_MOVES
    for one in events:
        moves = moves.after(one)
    return moves


def moved(
    before: Reach,
    after: Reach,
    *writes: RegisterValue,
    held: tuple[RegisterValue, ...] = (),
    answered: tuple[Reach, ...] = (),
    answer: WriteAnswer = WriteAnswer.CONFIRMED,
) -> list[object]:
    return [
        ReaddressBegun(before, after, writes, "as planned", 1.0),
        OldSettingsRead(held, 2.0),
        *(SettingWritten(before, one, 7, answer, 0, 3.0) for one in writes),
        PlacesLooked(LookedAfter.WRITING, (before, after), answered, 4.0),
    ]


def test_a_moved_device_is_not_put_back_until_it_is_where_it_was() -> None:
    there = moved(ONE, FORTY_FIVE, TO_45, held=(TO_1,), answered=(FORTY_FIVE,))
    back = moved(FORTY_FIVE, ONE, TO_1, held=(TO_45,), answered=(ONE,))

    (move,) = fold(*there).not_put_back()

    assert (move.first.begun.before, move.last.now) == (ONE, FORTY_FIVE)
    assert move.last.can_go_back
    assert move.last.old_writes == (TO_1,)
    assert fold(*there, *back).not_put_back() == ()


def test_a_refused_write_has_moved_nothing() -> None:
    assert fold(*moved(ONE, FORTY_FIVE, TO_45, answered=(ONE,), answer=WriteAnswer.REFUSED)).not_put_back() == ()


def test_a_device_that_waits_for_a_restart_is_listed_until_it_had_one() -> None:
    waiting = moved(ONE, FORTY_FIVE, TO_45, held=(TO_1,), answered=(ONE,))
    looked = PlacesLooked(LookedAfter.RESTART, (ONE, FORTY_FIVE), (ONE,), 20.0)

    assert len(fold(*waiting).not_put_back()) == 1
    assert fold(*waiting, RestartSeen(5.0, 19.0), looked).not_put_back() == ()


def test_a_lost_device_is_listed_and_there_is_no_way_back() -> None:
    (move,) = fold(*moved(ONE, FORTY_FIVE, TO_45, held=(TO_1,))).not_put_back()

    assert move.last.now is None
    assert not move.last.can_go_back


def test_a_register_that_only_saves_is_written_once_more_as_it_was() -> None:
    """It cannot be read, or reads 0 all the time (common practice, no source)."""
    for held in ((TO_1,), (TO_1, RegisterValue(255, 0))):
        (move,) = fold(*moved(ONE, FORTY_FIVE, TO_45, SAVE, held=held, answered=(FORTY_FIVE,))).not_put_back()

        assert move.last.old_writes == (TO_1, SAVE)


def test_without_an_old_value_there_is_no_way_back() -> None:
    (move,) = fold(*moved(ONE, FORTY_FIVE, TO_45, answered=(FORTY_FIVE,))).not_put_back()

    assert not move.last.can_go_back

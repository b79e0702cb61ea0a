"""A list that counts from 1, or names the other table, is noticed by its evidence."""

from __future__ import annotations

from decimal import Decimal

from buswalk.domain.registers.point import Between, Point
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_finder.finding import TableWords
from buswalk.domain.registers.value_finder.shifted_list import list_shifts, proposed_shift
from buswalk.domain.registers.value_finder.shown import shown
from buswalk.domain.registers.value_type import INT16

HOLDING, INPUTS = Table.HOLDING_REGISTERS, Table.INPUT_REGISTERS
TRUE_WORDS = (215, 450, 8, 1013, 3)
"""Room 21.5 °C, humidity 45.0 %, stage 8, pressure 1013, mode 3: an invented device that counts from 0."""


def listed(first: int, table: Table = HOLDING) -> tuple[Point, ...]:
    tenth = Decimal("0.1")
    return (
        Point("room", table, first, INT16, scale=tenth, range=Between(Decimal(-20), Decimal(60))),
        Point("humidity", table, first + 1, INT16, scale=tenth, range=Between(Decimal(20), Decimal(100))),
        Point("pressure", table, first + 3, INT16, range=Between(Decimal(900), Decimal(1100))),
        Point("mode", table, first + 4, INT16, range=Between(Decimal(0), Decimal(5))),
    )


READ = (TableWords(HOLDING, 0, TRUE_WORDS),)


def test_a_list_that_counts_from_one_is_proposed_one_lower_by_a_shown_value() -> None:
    shift = proposed_shift(list_shifts(listed(1), READ, {"room": shown("21.5")}))

    assert (shift.registers, shift.is_other_table) == (-1, False)
    assert (shift.shown_fit, shift.shown_asked) == (1, 1)
    assert (shift.plausible, shift.judged) == (4, 4)


def test_ranges_alone_speak_for_a_shift_where_enough_points_have_one() -> None:
    shift = proposed_shift(list_shifts(listed(1), READ, {}))

    assert shift.registers == -1


def test_a_right_list_stays_as_it_is() -> None:
    assert proposed_shift(list_shifts(listed(0), READ, {"room": shown("21.5")})).is_as_listed
    assert proposed_shift(list_shifts(listed(0), READ, {})).is_as_listed


def test_the_other_table_is_proposed_where_the_values_stand_there() -> None:
    read = (TableWords(INPUTS, 0, TRUE_WORDS), TableWords(HOLDING, 0, (0, 0, 0, 0, 0)))

    shift = proposed_shift(list_shifts(listed(0), read, {"room": shown("21.5"), "humidity": shown("45.0")}))

    assert (shift.registers, shift.is_other_table) == (0, True)
    assert shift.shown_fit == 2


def test_where_two_shifts_have_the_same_evidence_none_is_proposed() -> None:
    """All registers alike: nothing tells where the list begins."""
    read = (TableWords(HOLDING, 0, (215,) * 12),)

    assert proposed_shift(list_shifts(listed(3), read, {"room": shown("21.5")})).is_as_listed

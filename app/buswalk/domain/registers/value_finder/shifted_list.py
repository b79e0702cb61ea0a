"""Is the whole list shifted, or does it stand in the other table? Counted by what fits a display and what is plausible.

Lists count from 0 or from 1, and some swap input and holding registers: then every value is wrong in the same way.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from buswalk.domain.registers.point import Between, Point
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_finder.finding import TableWords
from buswalk.domain.registers.value_finder.readings import SEARCHED, raw_numbers
from buswalk.domain.registers.value_finder.shown import Shown

SHIFTS = (0, -1, 1, -2, 2)
OTHER_TABLE = {Table.INPUT_REGISTERS: Table.HOLDING_REGISTERS, Table.HOLDING_REGISTERS: Table.INPUT_REGISTERS}
ENOUGH_MORE = 2
"""Without a shown value so many more points must be plausible before a shift is proposed (judgement, no source)."""


@dataclass(frozen=True, slots=True)
class ListShift:
    """One way the list may be off, and what speaks for it.

    Attributes:
        registers: What stands in the list for address n is truly at n + registers.
        shown_fit, shown_asked: Points whose shown value fits there, of those with a shown value.
        plausible, judged: Points that lie in their range there, of those that have one and could be read.
    """

    registers: int
    is_other_table: bool
    shown_fit: int
    shown_asked: int
    plausible: int
    judged: int

    @property
    def is_as_listed(self) -> bool:
        """Whether it is no shift at all."""
        return self.registers == 0 and not self.is_other_table


def list_shifts(
    points: Sequence[Point], read: Sequence[TableWords], displays: Mapping[str, Shown]
) -> tuple[ListShift, ...]:
    """Return every shift with its evidence, the best first; `displays` are shown values by the names of points."""
    numeric = [one for one in points if one.value_type.layout in SEARCHED]
    shifts = [
        _judged(numeric, read, displays, registers, is_other_table=is_other)
        for is_other in (False, True)
        for registers in SHIFTS
    ]
    return tuple(sorted(shifts, key=lambda one: (-one.shown_fit, -one.plausible, one.is_other_table)))


def proposed_shift(shifts: Sequence[ListShift]) -> ListShift:
    """Return the shift that the evidence speaks for; the list as it is where it does not speak clearly for another."""
    as_listed = next(one for one in shifts if one.is_as_listed)
    best, *others = shifts
    is_alone = all((one.shown_fit, one.plausible) < (best.shown_fit, best.plausible) for one in others)
    more_shown = best.shown_fit > as_listed.shown_fit
    more_plausible = best.shown_fit == as_listed.shown_fit and best.plausible >= as_listed.plausible + ENOUGH_MORE
    return best if is_alone and (more_shown or more_plausible) else as_listed


def _judged(
    points: Sequence[Point],
    read: Sequence[TableWords],
    displays: Mapping[str, Shown],
    registers: int,
    *,
    is_other_table: bool,
) -> ListShift:
    shown_fit = plausible = judged = 0
    for point in points:
        table = OTHER_TABLE[point.table] if is_other_table else point.table
        number = _number_at(point, table, point.register_address + registers, read)
        if point.name in displays:
            shown_fit += _fits(number, displays[point.name], point)
        if isinstance(point.range, Between) and not np.isnan(number):
            judged += 1
            plausible += float(point.range.low) <= number <= float(point.range.high)
    return ListShift(registers, is_other_table, shown_fit, len(displays), plausible, judged)


def _fits(number: float, shown: Shown, point: Point) -> bool:
    near = max(float(shown.tolerance), abs(float(point.scale)))
    return bool(abs(number - float(shown.value)) <= near * (1 + 1e-9))


def _number_at(point: Point, table: Table, register_address: int, read: Sequence[TableWords]) -> float:
    """Return what the point would say there; NaN where it was not read, or is no number."""
    for one in read:
        start = register_address - one.first
        if one.table is table and start >= 0 and start + point.value_type.words <= len(one.words):
            words = np.array(one.words[start : start + point.value_type.words], dtype=np.uint16)
            return float(raw_numbers(words, point.value_type)[0]) * float(point.scale) + float(point.offset)
    return float("nan")

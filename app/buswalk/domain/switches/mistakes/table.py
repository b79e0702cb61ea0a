"""All mistakes in one table: every single one that can be made on a board."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from buswalk.domain.switches.mistakes import (
    board_adds,
    dial_one_step_off,
    digits_swapped,
    hex_and_decimal,
    lever_not_seated,
    levers_shifted,
    neighbours_swapped,
    not_obeyed,
    offset_forgotten,
    on_taken_as_off,
    other_board,
    read_from_other_end,
    upside_down,
)
from buswalk.domain.switches.mistakes.course import Ground, Mistake

INSTANCES: tuple[Callable[[Ground], Iterator[Mistake]], ...] = (
    offset_forgotten.instances,
    hex_and_decimal.instances,
    read_from_other_end.instances,
    on_taken_as_off.instances,
    upside_down.instances,
    levers_shifted.instances,
    digits_swapped.instances,
    neighbours_swapped.instances,
    lever_not_seated.instances,
    dial_one_step_off.instances,
    other_board.instances,
    board_adds.instances,
    not_obeyed.instances,
)
"""By file; mistakes with a number that nobody knows (a stored base, an old address) are made for the address found."""


def mistakes_on(ground: Ground) -> tuple[Mistake, ...]:
    """Return every mistake that can be made, in the order in which two of them would be made."""
    found = [one for instances in INSTANCES for one in instances(ground)]
    return tuple(sorted(found, key=lambda one: one.stage.value))

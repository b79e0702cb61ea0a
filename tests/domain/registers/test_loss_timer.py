"""What a description says of a loss timer, and what the words of its point mean.

5, 10, 60 and 300 s are common defaults of drives and of controllers' outputs (common practice, no source).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from buswalk.domain.registers.loss_timer import (
    IsOff,
    LossTimer,
    NotTold,
    RunsFor,
    TimerSetting,
    require_timer_point,
    setting_read,
)
from buswalk.domain.registers.point import Access, NamedValue, Point
from buswalk.domain.registers.tables import Table

POINT = Point("loss_time", Table.HOLDING_REGISTERS, 43, unit="s")


@pytest.mark.parametrize(
    ("unit", "scale", "word", "setting"),
    [
        ("s", "1", 60, RunsFor(60.0)),
        ("s", "0.1", 50, RunsFor(5.0)),
        ("ms", "1", 10_000, RunsFor(10.0)),
        ("ms", "100", 3000, RunsFor(300.0)),
        ("min", "1", 5, RunsFor(300.0)),
        ("h", "1", 1, RunsFor(3600.0)),
        ("s", "1", 0, IsOff()),
        ("h", "1", 25, NotTold()),
        ("K", "1", 60, NotTold()),
    ],
)
def test_the_words_of_its_point_are_seconds_by_its_unit_and_scale(
    unit: str, scale: str, word: int, setting: TimerSetting
) -> None:
    point = Point("loss_time", Table.HOLDING_REGISTERS, 43, unit=unit, scale=Decimal(scale))

    assert setting_read(point, (word,)) == setting


def test_a_code_for_no_value_tells_no_setting() -> None:
    """0xFFFF for 'never set' must not be taken for 65 535 s."""
    point = Point("loss_time", Table.HOLDING_REGISTERS, 43, unit="s", sentinels=(0xFFFF,))

    assert setting_read(point, (0xFFFF,)) == NotTold()


def test_a_timer_without_any_time_or_reaction_is_refused() -> None:
    with pytest.raises(ValueError, match="'seconds' as delivered"):
        LossTimer("stops")
    with pytest.raises(ValueError, match="needs a reaction"):
        LossTimer("  ", RunsFor(10.0))
    with pytest.raises(ValueError, match="at most 86400 s"):
        RunsFor(90_000.0)


@pytest.mark.parametrize(
    ("point", "why"),
    [
        (Point("a", Table.HOLDING_REGISTERS, 0, unit="K"), "its unit is 'K'"),
        (Point("a", Table.HOLDING_REGISTERS, 0), "it has no unit"),
        (Point("a", Table.HOLDING_REGISTERS, 0, unit="s", named=(NamedValue(1, "5 s"),)), "have names"),
        (Point("a", Table.HOLDING_REGISTERS, 0, unit="s", access=Access.WRITE), "cannot be read"),
        (Point("a", Table.HOLDING_REGISTERS, 0, unit="s", clears_on_read=True), "clears when it is"),
    ],
)
def test_a_point_that_can_tell_no_time_is_refused(point: Point, why: str) -> None:
    with pytest.raises(ValueError, match=why):
        require_timer_point(point)

"""Scale and offset from measured pairs: worked examples, and the limits hold the truth."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.registers.value_finder.shown import Shown, shown
from buswalk.domain.registers.value_finder.tidy_scale import (
    MeasuredPair,
    NoScale,
    SolvedScale,
    roundest_between,
    solve_scale,
)


def solved(*pairs: tuple[int, str]) -> SolvedScale:
    return solve_scale([MeasuredPair(Decimal(raw), shown(text)) for raw, text in pairs])


def test_tenths_of_a_degree_are_found_from_two_pairs() -> None:
    """Worked by hand: (35.0 - 21.5) / (350 - 215) = 0.1."""
    scale = solved((215, "21.5"), (350, "35.0"))

    assert scale.scale == Decimal("0.1")
    assert scale.offset == 0
    assert scale.tidy[0].factor.scale == Decimal("0.1")
    assert scale.tidy[0].offset == 0


def test_an_offset_that_keeps_temperatures_above_zero_is_found() -> None:
    """raw = 10 * (t + 40): 615 at 21.5 and 400 at 0.0."""
    scale = solved((615, "21.5"), (400, "0.0"))

    assert scale.tidy[0].factor.scale == Decimal("0.1")
    assert scale.tidy[0].offset == -40


def test_fahrenheit_is_named() -> None:
    """t(°F) = 1.8 t(°C) + 32 (exact by definition): 212 at 100 and 32 at 0."""
    scale = solved((0, "32.0"), (1000, "212.0"))

    assert "fahrenheit" in scale.tidy[0].factor.words
    assert scale.tidy[0].offset == 32


def test_a_falling_scale_is_found() -> None:
    scale = solved((0, "100"), (100, "0"))

    assert scale.tidy[0].factor.scale == -1
    assert scale.tidy[0].offset == 100


def test_pairs_that_lie_on_no_line_are_refused() -> None:
    with pytest.raises(NoScale, match="misread, or the value is not linear"):
        solved((0, "0.0"), (100, "10.0"), (200, "50.0"))


def test_one_raw_value_is_not_enough() -> None:
    with pytest.raises(NoScale, match="two different raw values"):
        solved((215, "21.5"), (215, "21.6"))


@given(
    scale=st.sampled_from(["0.1", "0.01", "0.5", "1", "10", "1.8", "0.0689476"]),
    offset=st.sampled_from([0, -40, 32]),
    raws=st.lists(st.integers(-30000, 65535), min_size=2, max_size=6, unique=True),
)
def test_the_true_scale_lies_within_the_limits(scale: str, offset: int, raws: list[int]) -> None:
    """Displays round to tenths."""
    pairs = []
    for raw in raws:
        value = (Decimal(raw) * Decimal(scale) + offset).quantize(Decimal("0.1"))
        pairs.append(MeasuredPair(Decimal(raw), Shown(value, Decimal("0.1"))))

    result = solve_scale(pairs)

    assert result.scale_low <= Decimal(scale) <= result.scale_high
    assert Decimal(scale) in [one.factor.scale for one in result.tidy]


@pytest.mark.parametrize(
    ("low", "high", "roundest"),
    [("-0.1", "0.2", "0"), ("-40.2", "-39.9", "-40"), ("31.8", "32.1", "32"), ("0.47", "0.53", "0.5")],
)
def test_the_roundest_number_of_a_range(low: str, high: str, roundest: str) -> None:
    assert roundest_between(Decimal(low), Decimal(high)) == Decimal(roundest)

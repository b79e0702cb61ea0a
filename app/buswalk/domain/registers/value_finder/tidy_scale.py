"""Scale and offset solved from measured pairs, and the tidy factors that are among them.

Each pair is a raw number and what was shown or measured then, with its tolerance; every line that passes all of them
within their tolerances is possible. Two pairs far apart tell most.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import combinations

from buswalk.domain.registers.value_finder.shown import Shown


@dataclass(frozen=True, slots=True)
class MeasuredPair:
    """A raw number, and what was shown or measured at the same moment."""

    raw: Decimal
    shown: Shown


@dataclass(frozen=True, slots=True)
class TidyFactor:
    """A scale that lists use, and what it stands for."""

    scale: Decimal
    words: str


@dataclass(frozen=True, slots=True)
class TidyScaling:
    """A tidy factor with the offset that fits best beside it."""

    factor: TidyFactor
    offset: Decimal


@dataclass(frozen=True, slots=True)
class SolvedScale:
    """What the pairs allow.

    Attributes:
        scale, offset: Through the first and last pair as they were shown.
        scale_low, scale_high: Between these every possible scale lies.
        tidy: Tidy factors among them, the nearest first.
    """

    scale: Decimal
    offset: Decimal
    scale_low: Decimal
    scale_high: Decimal
    tidy: tuple[TidyScaling, ...]


class NoScale(ValueError):
    """The pairs allow no scale, or any; its text says why."""


def _tenths() -> tuple[TidyFactor, ...]:
    return tuple(TidyFactor(Decimal(10) ** power, f"{Decimal(10) ** power:f} a step") for power in range(3, -5, -1))


TIDY_FACTORS = (
    *_tenths(),
    TidyFactor(Decimal("0.5"), "half a step"),
    TidyFactor(Decimal("0.2"), "a fifth"),
    TidyFactor(Decimal("0.25"), "a quarter"),
    TidyFactor(Decimal("0.05"), "a twentieth"),
    TidyFactor(Decimal("0.02"), "a fiftieth"),
    TidyFactor(Decimal("0.0625"), "a sixteenth"),
    TidyFactor(Decimal("0.00390625"), "1/256: the low byte is the fraction"),
    TidyFactor(Decimal("1.8"), "fahrenheit for celsius, whole degrees"),
    TidyFactor(Decimal("0.18"), "fahrenheit for celsius, tenths"),
    TidyFactor(Decimal(5) / 9, "celsius for fahrenheit, whole degrees"),
    TidyFactor(Decimal(1) / 18, "celsius for fahrenheit, tenths"),
    TidyFactor(Decimal("3.6"), "3.6: m/s shown as km/h, or kWh as MJ"),
    TidyFactor(Decimal(1) / Decimal("3.6"), "1/3.6: km/h shown as m/s, or MJ as kWh"),
    TidyFactor(Decimal("0.0689476"), "psi shown as bar"),
    TidyFactor(Decimal("6.89476"), "psi shown as kPa"),
    TidyFactor(Decimal(100) / 255, "100 % at 255"),
    TidyFactor(Decimal(100) / 1023, "100 % at 1023"),
    TidyFactor(Decimal(100) / 4095, "100 % at 4095"),
    TidyFactor(Decimal(100) / 32767, "100 % at 32767"),
    TidyFactor(Decimal(100) / 65535, "100 % at 65535"),
    TidyFactor(Decimal(10) / 4095, "10 V at 4095"),
    TidyFactor(Decimal(10) / 32767, "10 V at 32767"),
)
"""Factors of SI and of common units (1 psi = 6.894757 kPa, NIST SP 811, from memory), and full scales of converters."""


def solve_scale(pairs: Sequence[MeasuredPair]) -> SolvedScale:
    """Return which scales the pairs allow.

    Raises:
        NoScale: Fewer than two different raw numbers, or no line passes all pairs.
    """
    if len({one.raw for one in pairs}) < 2:
        raise NoScale("a scale needs two different raw values: change what is measured, and note the pair again")
    ordered = sorted(pairs, key=lambda one: one.raw)
    low, high = _scales(ordered)
    if low > high or _offsets(ordered, (low + high) / 2)[0] > _offsets(ordered, (low + high) / 2)[1]:
        raise NoScale("no single scale and offset fits all pairs: one is misread, or the value is not linear")
    first, last = ordered[0], ordered[-1]
    scale = (last.shown.value - first.shown.value) / (last.raw - first.raw)
    offset = first.shown.value - scale * first.raw
    return SolvedScale(scale, offset, low, high, _tidy(ordered, low, high, scale))


def _scales(ordered: Sequence[MeasuredPair]) -> tuple[Decimal, Decimal]:
    low, high = Decimal("-Infinity"), Decimal("Infinity")
    for one, other in combinations(ordered, 2):
        if one.raw == other.raw:
            continue
        apart = other.raw - one.raw
        rise = other.shown.value - one.shown.value
        slack = one.shown.tolerance + other.shown.tolerance
        low, high = max(low, (rise - slack) / apart), min(high, (rise + slack) / apart)
    return low, high


def _offsets(ordered: Sequence[MeasuredPair], scale: Decimal) -> tuple[Decimal, Decimal]:
    lows = (one.shown.value - one.shown.tolerance - scale * one.raw for one in ordered)
    highs = (one.shown.value + one.shown.tolerance - scale * one.raw for one in ordered)
    return max(lows), min(highs)


def _tidy(ordered: Sequence[MeasuredPair], low: Decimal, high: Decimal, scale: Decimal) -> tuple[TidyScaling, ...]:
    fitting: list[TidyScaling] = []
    for one in TIDY_FACTORS:
        for factor in (one, TidyFactor(-one.scale, f"{one.words}, falling")):
            least, most = _offsets(ordered, factor.scale)
            if low <= factor.scale <= high and least <= most:
                fitting.append(TidyScaling(factor, roundest_between(least, most)))
    return tuple(sorted(fitting, key=lambda one: abs(one.factor.scale - scale)))


def roundest_between(low: Decimal, high: Decimal) -> Decimal:
    """Return the number with the fewest digits between two: 0 if it lies there."""
    if low <= 0 <= high:
        return Decimal(0)
    middle = (low + high) / 2
    for power in range(6, -12, -1):
        for factor in (Decimal(1), Decimal("0.5")):
            grain = Decimal(10) ** power * factor
            rounded = (middle / grain).to_integral_value() * grain
            if low <= rounded <= high:
                return rounded.normalize() + 0
    return middle

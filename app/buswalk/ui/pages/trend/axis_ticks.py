"""Where the ticks of an axis stand: round numbers of a unit, round times of the day. Plain Python."""

from __future__ import annotations

import math
from dataclasses import dataclass

from buswalk.ui.wording import MINUS, stamp, stamp_minutes

ROUND = (1.0, 2.0, 5.0, 10.0)
ROUND_TIMES_S = (1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1800, 3600, 7200, 10800, 21600, 43200, 86400, 172800)


@dataclass(frozen=True, slots=True)
class Tick:
    """Where, and what stands there."""

    at: float
    words: str


def value_ticks(low: float, high: float, most: int) -> tuple[Tick, ...]:
    """Return at most `most` ticks at round numbers within a range."""
    if not math.isfinite(high - low) or high <= low:
        return ()
    step = _round_up((high - low) / max(most, 1))
    decimals = max(0, -math.floor(math.log10(step) + 1e-9))
    first, last = math.ceil(low / step - 1e-9), math.floor(high / step + 1e-9)
    return tuple(Tick(i * step, f"{i * step + 0.0:.{decimals}f}".replace("-", MINUS)) for i in range(first, last + 1))


def time_ticks(wall_time: str, begins_s: float, ends_s: float, most: int) -> tuple[Tick, ...]:
    """Return ticks at round times of the day, or at round line times where the time of day is not known."""
    wanted = (ends_s - begins_s) / max(most, 1)
    step = next((one for one in ROUND_TIMES_S if one >= wanted), ROUND_TIMES_S[-1])
    zero = _seconds_of_day(wall_time)
    first = math.ceil((begins_s + zero) / step)
    last = math.floor((ends_s + zero) / step)
    write = stamp_minutes if step >= 60 else stamp
    moments = [i * step - zero for i in range(first, min(last, first + 4 * most) + 1)]
    return tuple(Tick(at, write(wall_time, at + 1e-6) or f"{at:.0f} s") for at in moments)


def padded(low: float, high: float, least: float) -> tuple[float, float]:
    """Return a range with a little room above and below, at least `least` wide: a value at rest is a flat line."""
    middle, half = (low + high) / 2.0, max((high - low) / 2.0, least / 2.0)
    return middle - 1.12 * half, middle + 1.12 * half


def _round_up(step: float) -> float:
    power = 10.0 ** math.floor(math.log10(step))
    return next(one for one in ROUND if one * power >= step * (1 - 1e-9)) * power


def _seconds_of_day(wall_time: str) -> float:
    if not wall_time:
        return 0.0
    clock = stamp(wall_time, 0.0)
    hours, minutes, seconds = (int(part) for part in clock.split(":"))
    return hours * 3600.0 + minutes * 60.0 + seconds

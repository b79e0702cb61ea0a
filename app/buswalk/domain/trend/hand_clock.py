"""Where a hand instrument's times lie in line time: as its clock says, or shifted until it agrees with a point."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from buswalk.domain.trend.correlation import NoCorrelation, correlation
from buswalk.domain.trend.hand_list import HandList
from buswalk.domain.trend.hand_times import DAY_S, TimeKind, wall_s
from buswalk.domain.trend.samples import Samples

LONGEST_OFFSET_S = 900.0
LEAST_AGREEMENT = 0.8


@dataclass(frozen=True, slots=True)
class Placed:
    """The instrument's samples in line time.

    Attributes:
        sentence: What was done to its times.
    """

    samples: Samples
    offset_s: float
    sentence: str


def placed_by_its_clock(log: HandList, session_wall_time: str, first_s: float) -> Placed:
    """Take its clock for right; times that count from its start begin at `first_s`, and this is said."""
    zero = wall_s(session_wall_time)
    if log.form.kind is TimeKind.ELAPSED:
        return _placed(
            log.samples,
            first_s - float(log.samples.times_s[0]),
            "its times count from its start, laid here at the first value watched",
        )
    if log.form.kind is TimeKind.DATED:
        return _placed(log.samples, -zero, "its clock taken as right")
    day = (zero + first_s) // DAY_S * DAY_S
    return _placed(log.samples, day - zero, "its clock taken as right, of the day watched")


def placed_by_agreement(placed: Placed, point: Samples) -> Placed:
    """Shift it, by 15 min at most, to where it agrees best with a point; as it was where nothing agrees."""
    found = correlation(point, placed.samples, LONGEST_OFFSET_S)
    if isinstance(found, NoCorrelation):
        return _placed(placed.samples, 0.0, f"not shifted: {found.sentence}", placed.offset_s)
    if not found.is_beyond_chance or found.r < LEAST_AGREEMENT:
        return _placed(placed.samples, 0.0, f"not shifted: it agrees nowhere (at best {found.r:.2f})", placed.offset_s)
    way = "earlier" if found.lag_s > 0 else "later"
    sentence = (
        f"shifted {abs(found.lag_s):.0f} s {way}, ± {found.grid_s:.0f} s, to where it agrees best ({found.r:.2f})"
    )
    return _placed(placed.samples, -found.lag_s, sentence, placed.offset_s)


def placed_by_hand(placed: Placed, offset_s: float) -> Placed:
    """Shift it by what somebody says."""
    return _placed(
        placed.samples, offset_s, f"shifted by {offset_s:+.0f} s, as stated".replace("-", "−"), placed.offset_s
    )


def _placed(samples: Samples, by_s: float, sentence: str, before_s: float = 0.0) -> Placed:
    times_s = np.asarray(samples.times_s + by_s)
    return Placed(Samples(times_s, samples.numbers, samples.codes), before_s + by_s, sentence)

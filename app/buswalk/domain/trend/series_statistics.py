"""What can be said of a span of one point: mean, noise, drift, step, whether it moves at all; each with its doubt."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np

from buswalk.domain.trend.noise import noise_floor, quantised_step, scatter
from buswalk.domain.trend.samples import Numbers, Samples
from buswalk.domain.trend.student import student_t

FEWEST_SAMPLES = 5
FEWEST_TO_CALL_STUCK = 20
STOPPED_TIMES = 20.0
"""A value that changed before counts as stopped when it rests so many times longer than it ever did."""
LARGEST_CORRELATION = 0.99


class Movement(Enum):
    """Whether a value moves."""

    MOVES = "moves"
    UNCHANGED = "unchanged"
    """Not once in the whole span: stuck, or it moves less than its step."""
    STOPPED = "stopped"
    """It moved before, then rested far longer than usual."""


@dataclass(frozen=True, slots=True)
class WithLimit:
    """A figure, and how far it may be off: 95 %, both sides. Infinite where too little was seen."""

    value: float
    limit: float


@dataclass(frozen=True, slots=True)
class SeriesStatistics:
    """Of the samples that have a number and are not in doubt.

    Attributes:
        samples: How many those are.
        missing: Looks without a number.
        doubtful: Looks whose number may be an old one: not counted.
        noise: One standard deviation from look to look, at least what the step alone makes.
        drift_per_s: Of the straight line through the span; its limit allows for noise that is slow.
        step: In which the value is told; 0 where none is seen.
        unchanged_s: Since the last change, to the end of the span.
    """

    begins_s: float
    ends_s: float
    samples: int
    missing: int
    doubtful: int
    period_s: float
    mean: WithLimit
    least: float
    greatest: float
    noise: float
    drift_per_s: WithLimit
    step: float
    movement: Movement
    unchanged_s: float

    @property
    def noise_is_the_step(self) -> bool:
        """Whether the noise cannot be told from the step."""
        return self.step > 0 and self.noise <= noise_floor(self.step)


@dataclass(frozen=True, slots=True)
class TooFew:
    """Fewer samples than anything can be said of."""

    samples: int
    missing: int


def series_statistics(samples: Samples) -> SeriesStatistics | TooFew:
    """Return what can be said of a span."""
    trusted = samples.trusted
    missing = samples.missing
    if len(trusted) < FEWEST_SAMPLES:
        return TooFew(len(trusted), missing)
    times_s, numbers = trusted.times_s, trusted.numbers
    step = quantised_step(numbers)
    mean, drift = _mean_and_drift(times_s, numbers)
    movement, unchanged_s = _movement(times_s, numbers)
    return SeriesStatistics(
        begins_s=float(times_s[0]),
        ends_s=float(times_s[-1]),
        samples=len(trusted),
        missing=missing,
        doubtful=len(samples) - missing - len(trusted),
        period_s=float(np.median(np.diff(times_s))),
        mean=mean,
        least=float(numbers.min()),
        greatest=float(numbers.max()),
        noise=max(scatter(numbers), noise_floor(step)),
        drift_per_s=drift,
        step=step,
        movement=movement,
        unchanged_s=unchanged_s,
    )


def slowness(residuals: Numbers) -> float:
    """Return by how much fewer independent values there are than samples: (1 + r) / (1 - r), r of neighbours."""
    centred = residuals - residuals.mean()
    power = float(centred @ centred)
    if power <= 0 or len(centred) < 3:
        return 1.0
    r = min(max(float(centred[1:] @ centred[:-1]) / power, 0.0), LARGEST_CORRELATION)
    return (1.0 + r) / (1.0 - r)


def _mean_and_drift(times_s: Numbers, numbers: Numbers) -> tuple[WithLimit, WithLimit]:
    count = len(numbers)
    middle_s, mean = float(times_s.mean()), float(numbers.mean())
    elapsed = times_s - middle_s
    spread = float(elapsed @ elapsed)
    slope = float(elapsed @ (numbers - mean)) / spread
    residuals = numbers - mean - slope * elapsed
    # Of a straight line, not of the mean: residuals keep no drift, so their neighbours tell how slow the noise is.
    slow = slowness(residuals)
    freedom = count / slow - 2.0
    t = student_t(freedom)
    variance = float(residuals @ residuals) / (count - 2) * slow
    if math.isinf(t):
        return WithLimit(mean, math.inf), WithLimit(slope, math.inf)
    return (
        WithLimit(mean, t * math.sqrt(variance / count)),
        WithLimit(slope, t * math.sqrt(variance / spread)),
    )


def _movement(times_s: Numbers, numbers: Numbers) -> tuple[Movement, float]:
    changes = np.flatnonzero(np.diff(numbers)) + 1
    if not len(changes):
        is_told = len(numbers) >= FEWEST_TO_CALL_STUCK
        return (Movement.UNCHANGED if is_told else Movement.MOVES), float(times_s[-1] - times_s[0])
    unchanged_s = float(times_s[-1] - times_s[changes[-1]])
    rests = np.diff(times_s[np.concatenate(([0], changes))])
    after = len(numbers) - int(changes[-1])
    has_stopped = after >= FEWEST_TO_CALL_STUCK and unchanged_s > STOPPED_TIMES * float(rests.max())
    return (Movement.STOPPED if has_stopped else Movement.MOVES), unchanged_s

"""How a value follows a step at a mark: dead time, time constant, settling, and whether one lag describes it.

value = before + step * (1 - exp(-(t - dead time) / lag))      from the dead time on
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import Enum

import numpy as np

from buswalk.domain.trend.lag_fit import LagFit, fit_one_lag, share_of_misfit_with_two_lags
from buswalk.domain.trend.noise import noise_floor, quantised_step, scatter
from buswalk.domain.trend.samples import Samples
from buswalk.domain.trend.series_statistics import TooFew, WithLimit, series_statistics

FEWEST_BEFORE, FEWEST_AFTER = 5, 10
LEAST_STEP_IN_NOISE = 4.0
GOOD_MISFIT_IN_NOISE = 1.5
FAIR_MISFIT_OF_STEP = 0.03
TWO_LAGS_BETTER = 0.7
SEEN_LAGS_TO_BE_SETTLED = 2.0
"""After so many lags the end is known by more than guessing: 86 % are seen."""
FEWEST_AT_REST = 10
REST_IN_NOISE = 2.0
GOES_ON_IN_NOISE = 1.5
SETTLED_WITHIN = 0.05
LAGS_TO_SETTLE = -math.log(SETTLED_WITHIN)


class OneLag(Enum):
    """Whether one lag describes the response."""

    GOOD = "good"
    """What is left is noise."""
    FAIR = "fair"
    """More than noise is left, but below 3 % of the step."""
    TWO_LAGS = "two lags"
    """A second lag leaves clearly less: a sensor in a pocket, a room behind a duct."""
    POOR = "no"


@dataclass(frozen=True, slots=True)
class StepResponse:
    """Limits are 95 %, both sides, and hold as far as one lag does; times count from the mark.

    Attributes:
        before: Mean before the mark.
        step: From there to where it goes; an estimate ahead of time where `is_settled` is False.
        settled_s: Until it stays within 5 % of the step; by the fit.
        misfit: Root mean square of what the fit leaves.
        noise: Before the mark, one standard deviation.
        seen_s: How long after the mark was looked at.
    """

    before: float
    step: WithLimit
    dead_time_s: WithLimit
    lag_s: WithLimit
    settled_s: float
    misfit: float
    noise: float
    one_lag: OneLag
    is_settled: bool
    seen_s: float
    samples: int


class WhyNoStep(Enum):
    """Why there is nothing to say."""

    TOO_FEW_BEFORE = "fewer than 5 values before the mark"
    TOO_FEW_AFTER = "fewer than 10 values after the mark"
    STILL = "it did not move by 4 times its noise"
    GOES_ON = "it goes on drifting as before the mark"


@dataclass(frozen=True, slots=True)
class NoStep:
    """No response can be told."""

    why: WhyNoStep


def step_response(before: Samples, after: Samples, mark_s: float) -> StepResponse | NoStep:
    """Fit one lag to what came after a mark.

    `before` ends at the mark and should hold nothing but rest; `after` ends where something else was done.
    """
    rest, moved = before.trusted, after.trusted
    if len(rest) < FEWEST_BEFORE:
        return NoStep(WhyNoStep.TOO_FEW_BEFORE)
    if len(moved) < FEWEST_AFTER:
        return NoStep(WhyNoStep.TOO_FEW_AFTER)
    if _goes_on(rest, moved):
        return NoStep(WhyNoStep.GOES_ON)
    rest = _at_rest(rest)
    level = float(rest.numbers.mean())
    step_told = quantised_step(np.concatenate((rest.numbers, moved.numbers)))
    noise = max(scatter(rest.numbers), noise_floor(step_told))
    elapsed, change = moved.times_s - mark_s, moved.numbers - level
    farthest = float(np.abs(_smoothed(change)).max())
    if farthest <= LEAST_STEP_IN_NOISE * max(noise, np.finfo(float).tiny):
        return NoStep(WhyNoStep.STILL)
    fit = fit_one_lag(elapsed, change, max(noise, 1e-6 * farthest) / math.sqrt(len(rest)))
    return StepResponse(
        before=level,
        step=WithLimit(fit.step, fit.step_limit),
        dead_time_s=WithLimit(fit.dead_time_s, fit.dead_time_limit_s),
        lag_s=WithLimit(fit.lag_s, fit.lag_limit_s),
        settled_s=fit.dead_time_s + LAGS_TO_SETTLE * fit.lag_s,
        misfit=fit.misfit,
        noise=noise,
        one_lag=_one_lag(fit, noise, elapsed, change),
        is_settled=float(elapsed[-1]) - fit.dead_time_s >= SEEN_LAGS_TO_BE_SETTLED * fit.lag_s,
        seen_s=float(elapsed[-1]),
        samples=len(moved),
    )


def _one_lag(fit: LagFit, noise: float, elapsed: np.ndarray, change: np.ndarray) -> OneLag:
    if fit.misfit <= GOOD_MISFIT_IN_NOISE * noise:
        return OneLag.GOOD
    if share_of_misfit_with_two_lags(elapsed, change, fit) < TWO_LAGS_BETTER:
        return OneLag.TWO_LAGS
    return OneLag.FAIR if fit.misfit <= FAIR_MISFIT_OF_STEP * abs(fit.step) else OneLag.POOR


def _goes_on(before: Samples, after: Samples) -> bool:
    """Whether the straight line through what was before also goes through what came after, as far as it is known."""
    told = series_statistics(before)
    if isinstance(told, TooFew) or abs(told.drift_per_s.value) <= told.drift_per_s.limit:
        return False
    middle_s = float(before.times_s.mean())
    ahead_s = after.times_s - middle_s
    left = after.numbers - told.mean.value - told.drift_per_s.value * ahead_s
    known_to = told.mean.limit + told.drift_per_s.limit * float(np.abs(ahead_s).max())
    return float(np.sqrt(np.mean(left**2))) <= GOES_ON_IN_NOISE * told.noise + known_to


def _at_rest(before: Samples) -> Samples:
    """Return the longest end of what was before in which it did not move: the step begins from there.

    Halved until the medians of its first and last third differ by no more than its noise; ten values are the least.
    """
    whole_step = noise_floor(quantised_step(before.numbers))
    while len(before) >= 2 * FEWEST_AT_REST:
        third = len(before) // 3
        walked = abs(float(np.median(before.numbers[-third:]) - np.median(before.numbers[:third])))
        if walked <= REST_IN_NOISE * max(scatter(before.numbers), whole_step):
            break
        before = before.last(len(before) // 2)
    return before


def _smoothed(numbers: np.ndarray) -> np.ndarray:
    """Return the median of each three neighbours: one odd reading is no step."""
    return np.asarray(np.median(np.stack((numbers[:-2], numbers[1:-1], numbers[2:])), axis=0))

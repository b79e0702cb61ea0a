"""Least squares fit of one lag with dead time: a grid to begin from, then damped Gauss-Newton steps."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.trend.samples import Numbers
from buswalk.domain.trend.series_statistics import slowness
from buswalk.domain.trend.student import student_t

MOST_POINTS_OF_GRID = 300
DEAD_TIMES, LAGS = 40, 48
LONGEST_DEAD_SHARE = 0.8
LONGEST_LAG_SHARE = 4.0
MOST_ROUNDS = 60
ENOUGH = 1e-10
SECOND_LAGS = (0.1, 0.2, 0.35, 0.5, 0.75, 1.0)
PARAMETERS = 4


@dataclass(frozen=True, slots=True)
class LagFit:
    """What fits best, with limits of 95 %."""

    step: float
    step_limit: float
    dead_time_s: float
    dead_time_limit_s: float
    lag_s: float
    lag_limit_s: float
    misfit: float


def fit_one_lag(elapsed: Numbers, change: Numbers, level_sigma: float) -> LagFit:
    """Fit to changes against a level that is itself only known to `level_sigma`."""
    parameters = np.array((*_begin(elapsed, change), 0.0))
    damping, error = 1e-3, math.inf
    residuals, slopes = _residuals(parameters, elapsed, change)
    sigma = max(float(np.sqrt(np.mean(residuals**2))), 1e-12 * max(float(np.abs(change).max()), 1e-300))
    weight = sigma / level_sigma
    error = _error(residuals, parameters, weight)
    for _ in range(MOST_ROUNDS):
        normal = slopes.T @ slopes
        normal[3, 3] += weight**2
        pull = slopes.T @ residuals
        pull[3] -= weight**2 * parameters[3]
        step = np.linalg.lstsq(normal + damping * np.diag(np.diag(normal) + 1e-300), pull, rcond=None)[0]
        tried = _kept_inside(parameters + step, elapsed)
        new_residuals, new_slopes = _residuals(tried, elapsed, change)
        new_error = _error(new_residuals, tried, weight)
        if new_error < error:
            is_enough = error - new_error <= ENOUGH * error
            parameters, residuals, slopes, error = tried, new_residuals, new_slopes, new_error
            damping = max(damping / 5.0, 1e-12)
            if is_enough:
                break
        else:
            damping *= 4.0
            if damping > 1e9:
                break
    return _told(parameters, residuals, slopes, weight)


def share_of_misfit_with_two_lags(elapsed: Numbers, change: Numbers, fit: LagFit) -> float:
    """Return how much of the misfit is left, at most, if a second lag is allowed."""
    thin = max(1, len(elapsed) // MOST_POINTS_OF_GRID)
    times, moved = elapsed[::thin], change[::thin]
    one = _projected(moved, _one_lag(times, fit.dead_time_s, fit.lag_s)[None, :])[0]
    best = one
    period = float(np.median(np.diff(times)))
    dead_times = np.linspace(0.0, max(fit.dead_time_s * 1.2, 2 * period), 24)
    for lag_s in fit.lag_s * np.linspace(0.3, 1.5, 25):
        for share in SECOND_LAGS:
            shapes = np.stack([_two_lags(times, dead, float(lag_s), share) for dead in dead_times])
            best = min(best, float(_projected(moved, shapes).min()))
    return math.sqrt(best / one) if one > 0 else 1.0


def _begin(elapsed: Numbers, change: Numbers) -> tuple[float, float, float]:
    """Return step, dead time and lag of the best point of a grid; for each the best step follows by itself."""
    thin = max(1, len(elapsed) // MOST_POINTS_OF_GRID)
    times, moved = elapsed[::thin], change[::thin]
    seen = float(times[-1])
    period = float(np.median(np.diff(times)))
    dead_times = np.linspace(0.0, LONGEST_DEAD_SHARE * seen, DEAD_TIMES)
    best = (math.inf, 0.0, 0.0)
    for lag_s in np.geomspace(period / 4.0, LONGEST_LAG_SHARE * seen, LAGS):
        shapes = np.stack([_one_lag(times, dead, float(lag_s)) for dead in dead_times])
        left = _projected(moved, shapes)
        at = int(left.argmin())
        best = min(best, (float(left[at]), float(dead_times[at]), float(lag_s)))
    _, dead, lag = best
    shape = _one_lag(times, dead, lag)
    return float(shape @ moved / (shape @ shape)), dead, lag


def _projected(moved: Numbers, shapes: Numbers) -> Numbers:
    """Return the sum of squares that is left when each shape is taken with its best factor."""
    power = np.maximum((shapes**2).sum(axis=1), 1e-300)
    left: Numbers = moved @ moved - (shapes @ moved) ** 2 / power
    return np.maximum(left, 0.0)


def _one_lag(times: Numbers, dead_time_s: float, lag_s: float) -> Numbers:
    since = np.maximum(times - dead_time_s, 0.0)
    shape: Numbers = -np.expm1(-since / lag_s)
    return shape


def _two_lags(times: Numbers, dead_time_s: float, lag_s: float, share: float) -> Numbers:
    since = np.maximum(times - dead_time_s, 0.0)
    if share == 1.0:
        equal: Numbers = 1.0 - (1.0 + since / lag_s) * np.exp(-since / lag_s)
        return equal
    shape: Numbers = 1.0 - (np.exp(-since / lag_s) - share * np.exp(-since / (lag_s * share))) / (1.0 - share)
    return shape


def _residuals(parameters: Numbers, elapsed: Numbers, change: Numbers) -> tuple[Numbers, Numbers]:
    """Return what the model leaves, and its slopes by step, dead time, lag and level."""
    step, dead, lag, level = (float(one) for one in parameters)
    since = np.maximum(elapsed - dead, 0.0)
    decay = np.exp(-since / lag)
    is_after = elapsed > dead
    slopes = np.stack(
        (
            1.0 - decay,
            np.where(is_after, -step * decay / lag, 0.0),
            -step * decay * since / lag**2,
            np.ones(len(elapsed)),
        ),
        axis=1,
    )
    return change - level - step * (1.0 - decay), slopes


def _error(residuals: Numbers, parameters: Numbers, weight: float) -> float:
    return float(residuals @ residuals) + (weight * float(parameters[3])) ** 2


def _kept_inside(parameters: Numbers, elapsed: Numbers) -> Numbers:
    seen = float(elapsed[-1])
    least_lag = float(np.median(np.diff(elapsed))) / 20.0
    parameters[1] = min(max(parameters[1], 0.0), seen)
    parameters[2] = min(max(parameters[2], least_lag), 100.0 * seen)
    return parameters


def _told(parameters: Numbers, residuals: Numbers, slopes: NDArray[np.float64], weight: float) -> LagFit:
    count = len(residuals)
    slow = slowness(residuals)
    variance = float(residuals @ residuals) / max(count - PARAMETERS, 1) * slow
    normal = slopes.T @ slopes
    normal[3, 3] += weight**2
    covariance = variance * np.linalg.pinv(normal)
    t = student_t(count / slow - PARAMETERS)
    step_limit, dead_limit, lag_limit = (t * math.sqrt(max(float(covariance[i, i]), 0.0)) for i in range(3))
    step, dead, lag = (float(one) for one in parameters[:3])
    return LagFit(step, step_limit, dead, dead_limit, lag, lag_limit, math.sqrt(float(np.mean(residuals**2))))

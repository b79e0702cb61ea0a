"""How much a value scatters from look to look, and in which steps it is told. Movement is not noise."""

from __future__ import annotations

import math

import numpy as np

from buswalk.domain.trend.samples import Numbers

MAD_TO_SIGMA = 1.4826
"""Median absolute deviation to standard deviation, for a normal distribution."""
OUTLIER_SIGMAS = 5.0
MOST_STEPS_ACROSS = 5000
"""Finer than this across the whole span is no step that anybody would see."""
MOST_LEVELS = 2000
STEP_TOLERANCE = 1e-3
"""Of a step: numbers are told in decimals, kept as binary fractions."""


def scatter(numbers: Numbers) -> float:
    """Return one standard deviation of the noise, from the differences of neighbours: slow movement does not count.

    0 where all are equal. Noise that is itself slow, longer than the time between two looks, is seen only in part.
    """
    differences = np.diff(numbers)
    if len(differences) < 2:
        return 0.0
    differences = differences - np.median(differences)
    sigma = MAD_TO_SIGMA * float(np.median(np.abs(differences)))
    # Where more than half are equal, a coarse step hides the median: then all of them count.
    kept = differences[np.abs(differences) <= OUTLIER_SIGMAS * sigma] if sigma > 0 else differences
    return math.sqrt(float(np.mean(kept**2)) / 2.0)


def quantised_step(numbers: Numbers) -> float:
    """Return the step that all numbers are whole multiples apart by; 0 where none is seen.

    Two levels show that the step is at most their difference, and it is taken for it.
    """
    levels = np.unique(numbers)
    if not 2 <= len(levels) <= min(MOST_LEVELS, max(2, int(0.8 * len(numbers)))):
        return 0.0
    span = float(levels[-1] - levels[0])
    tolerance = 1e-9 * max(abs(float(levels[0])), abs(float(levels[-1])), span)
    differences = np.diff(levels)
    differences = differences[differences > tolerance]
    step = float(differences[0])
    for one in differences[1:]:
        step = _common(step, float(one), span)
        if step * MOST_STEPS_ACROSS < span:
            return 0.0
    return step


def noise_floor(step: float) -> float:
    """Return the noise that a step alone makes: a value anywhere within it is told as the same (step / sqrt 12)."""
    return step / math.sqrt(12.0)


def _common(first: float, second: float, span: float) -> float:
    """Return the greatest common measure of two lengths, by Euclid, down to what floats can tell."""
    high, low = max(first, second), min(first, second)
    least = max(STEP_TOLERANCE * low, span * 1e-7)
    while low > least:
        high, low = low, abs(high - round(high / low) * low)
    return high

"""Fewer samples that draw the same picture: of each step of time the first, least, greatest, and what failed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.trend.samples import Samples

MOST_A_STEP = 5
"""So many samples of a step are kept at most."""


def thinned(samples: Samples, step_s: float) -> Samples:
    """Return the samples that decide how each step looks; all of them where steps hold one each.

    Least and greatest of any span of whole steps stay what they were. Gaps cannot be found in what is left: find them
    before.

    Raises:
        ValueError: A step that is not above zero.
    """
    if not step_s > 0.0:
        raise ValueError("a step of time is above zero")
    if len(samples) < 2:
        return samples
    steps = np.floor(samples.times_s / step_s)
    begins = np.concatenate(([0], np.flatnonzero(np.diff(steps)) + 1))
    if len(begins) == len(samples):
        return samples
    lengths = np.diff(np.concatenate((begins, [len(samples)])))
    step_of = np.repeat(np.arange(len(begins)), lengths)
    is_missing = np.isnan(samples.numbers)
    lows = np.lexsort((np.where(is_missing, np.inf, samples.numbers), step_of))
    highs = np.lexsort((np.where(is_missing, np.inf, -samples.numbers), step_of))
    kept = np.unique(np.concatenate((begins, lows[begins], highs[begins], _ends_of(is_missing, step_of))))
    return Samples(samples.times_s[kept], samples.numbers[kept], samples.codes[kept])


def _ends_of(is_missing: NDArray[np.bool_], step_of: NDArray[np.int64]) -> NDArray[np.int64]:
    """Return the first and the last place without a number in each step that has one."""
    places = np.flatnonzero(is_missing)
    changes = np.flatnonzero(np.diff(step_of[places]))
    return np.concatenate((places[:1], places[changes], places[changes + 1], places[-1:]))

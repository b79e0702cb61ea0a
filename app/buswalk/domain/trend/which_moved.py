"""Which point moved after a moment: every watched point ranked by its change over its own noise.

Fair to points that rest and to coarse ones: the measure is never below one step of the value, and movement that was
there before the moment counts as noise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import Enum

import numpy as np

from buswalk.domain.trend.noise import MAD_TO_SIGMA, quantised_step, scatter
from buswalk.domain.trend.samples import Numbers, Samples

FEWEST_BEFORE, FEWEST_AFTER = 5, 3
FEWEST_LEVELS = 4
UNCLEAR_TIMES = 5.0
MOVED_FROM, STILL_BELOW = 6.0, 4.0
"""In noise. Of 200 points looked at 300 times, one reaches six by chance in fewer than one ranking in a hundred."""


class Moved(Enum):
    """What the change of one point says."""

    MOVED = "moved"
    UNCLEAR = "unclear"
    STILL = "did not"
    NOT_SEEN = "not seen"
    """Too few values before or after."""


class Nature(Enum):
    """What kind of value a point tells."""

    MEASURE = "measure"
    STATE = "state"
    """On and off, or a few named states: a change is whole or none."""


@dataclass(frozen=True, slots=True)
class Watched:
    """One point with its samples.

    Attributes:
        resolution: The least step that its list says it has; 0 if unknown.
    """

    name: str
    samples: Samples
    resolution: float = 0.0
    nature: Nature = Nature.MEASURE


@dataclass(frozen=True, slots=True)
class PointMoved:
    """One row of the ranking.

    Attributes:
        change: The farthest it went from where it was, with its sign.
        noise: What the change is measured by.
        times: change / noise, without sign; infinite for a state that rested and then changed.
    """

    name: str
    moved: Moved
    change: float
    noise: float
    times: float
    at_s: float


def which_moved(points: Sequence[Watched], moment_s: float, before_s: float, after_s: float) -> tuple[PointMoved, ...]:
    """Rank points, the clearest first; those not seen last. Spans reach `before_s` back and `after_s` ahead."""
    told = [_moved(one, moment_s, before_s, after_s) for one in points]
    return tuple(sorted(told, key=lambda one: (one.moved is Moved.NOT_SEEN, -one.times)))


def _moved(point: Watched, moment_s: float, before_s: float, after_s: float) -> PointMoved:
    rest = point.samples.between(moment_s - before_s, moment_s).trusted
    later = point.samples.between(np.nextafter(moment_s, math.inf), moment_s + after_s).trusted
    if len(rest) < FEWEST_BEFORE or len(later) < FEWEST_AFTER:
        return PointMoved(point.name, Moved.NOT_SEEN, 0.0, 0.0, 0.0, moment_s)
    level = float(np.median(rest.numbers))
    changes = _median_of_three(later.numbers) - level
    at = int(np.abs(changes).argmax())
    change, at_s = float(changes[at]), float(later.times_s[at])
    if point.nature is Nature.STATE:
        return _switched(point.name, rest, change, at_s)
    step = _step(np.concatenate((rest.numbers, later.numbers)), point.resolution)
    noise = max(math.hypot(_spread(rest.numbers, level), _walk(rest)), step)
    times = abs(change) / noise if noise > 0 else 0.0
    moved = Moved.MOVED if times >= MOVED_FROM else Moved.STILL if times < STILL_BELOW else Moved.UNCLEAR
    return PointMoved(point.name, moved, change, noise, times, at_s)


def _switched(name: str, rest: Samples, change: float, at_s: float) -> PointMoved:
    """A state is told by whether it ever changed before: there is no noise to measure it by."""
    if not change:
        return PointMoved(name, Moved.STILL, 0.0, 0.0, 0.0, at_s)
    if len(np.unique(rest.numbers)) > 1:
        return PointMoved(name, Moved.UNCLEAR, change, 1.0, STILL_BELOW, at_s)
    return PointMoved(name, Moved.MOVED, change, 0.0, math.inf, at_s)


def _step(numbers: Numbers, resolution: float) -> float:
    """Return the least change that means something.

    A point seen at two or three levels only has shown no step of its own; where its list tells none either, the whole
    change stays unclear.
    """
    levels = np.unique(numbers)
    if len(levels) >= FEWEST_LEVELS:
        return max(quantised_step(numbers), resolution)
    return resolution or float(levels[-1] - levels[0]) / UNCLEAR_TIMES


def _spread(numbers: Numbers, level: float) -> float:
    """Return one standard deviation about the level, slow movement included."""
    return max(scatter(numbers), MAD_TO_SIGMA * float(np.median(np.abs(numbers - level))))


def _walk(rest: Samples) -> float:
    """Return how far the point went by itself before: from its first third to its last."""
    third = max(1, len(rest) // 3)
    return abs(float(np.median(rest.numbers[-third:])) - float(np.median(rest.numbers[:third])))


def _median_of_three(numbers: Numbers) -> Numbers:
    """Return medians of three neighbours, so that one odd reading is no movement; the ends as their neighbours."""
    middle = np.median(np.stack((numbers[:-2], numbers[1:-1], numbers[2:])), axis=0)
    return np.concatenate((middle[:1], middle, middle[-1:]))

"""How many meanings are left after three looks at a display, over all shipped profiles, and whether the true one is."""

from __future__ import annotations

import time
from collections.abc import Iterator
from statistics import median

from buswalk.domain.registers.value_finder.finding import ValueFinder
from tests.benchmarks.figure import Figure
from tests.fakes.shown_values import ShownPoint, shipped_profiles, shown_points

SEEDS = 5


def figures() -> Iterator[Figure]:
    """Try every point of every shipped profile with several seeds; the peer is who takes the first look only."""
    kept, left, left_first = [], [], []
    began_s = time.perf_counter()
    for profile in shipped_profiles():
        for seed in range(SEEDS):
            for trial in shown_points(profile, seed):
                finder = ValueFinder()
                for look in trial.looks:
                    finder.take(look)
                    if finder.looks == 1:
                        left_first.append(len(finder.candidates))
                left.append(len(finder.candidates))
                kept.append(is_kept(finder, trial))
    took_s = time.perf_counter() - began_s
    yield Figure("value_finder", "kept_share", sum(kept) / len(kept), "", more_is_better=True)
    yield Figure(
        "value_finder", "candidates_after_three_looks_median", median(left), "", "after one look", median(left_first)
    )
    yield Figure("value_finder", "look_s", took_s / len(left) / 3, "s")


def is_kept(finder: ValueFinder, trial: ShownPoint) -> bool:
    """Tell whether the true place, type and scaling are among what is left."""
    point = trial.point
    return any(
        (one.table, one.register_address, one.value_type) == (point.table, point.register_address, point.value_type)
        and (one.scaling.scale, one.scaling.offset) == (point.scale, point.offset)
        for candidate in finder.candidates
        for one in candidate.meanings
    )

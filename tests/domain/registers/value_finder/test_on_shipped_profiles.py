"""On each numeric point of all shipped profiles the true meaning is kept, and little else after three looks."""

from __future__ import annotations

from statistics import median

from buswalk.domain.registers.value_finder.finding import ValueFinder
from tests.benchmarks.bench_value_finder import is_kept
from tests.fakes.shown_values import shipped_profiles, shown_points


def test_three_looks_leave_the_true_meaning_and_few_others() -> None:
    left, lost = [], []
    for profile in shipped_profiles():
        for trial in shown_points(profile, seed=0):
            finder = ValueFinder()
            for look in trial.looks:
                finder.take(look)
            left.append(len(finder.candidates))
            if not is_kept(finder, trial):
                lost.append((profile.name, trial.point.name))

    assert lost == []
    assert len(left) >= 50
    assert median(left) <= 3

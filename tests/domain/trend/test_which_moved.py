"""Which point moved: fair to noisy, coarse, resting and wandering points. No source: judged by simulated worlds."""

from __future__ import annotations

import numpy as np

from buswalk.domain.trend.samples import good_samples
from buswalk.domain.trend.which_moved import Moved, Nature, PointMoved, Watched, which_moved

TIMES = np.arange(600.0)
MOMENT_S = 300.0


def ranked(*points: Watched) -> dict[str, PointMoved]:
    return {one.name: one for one in which_moved(points, MOMENT_S, 250, 250)}


def warmed(size: float) -> np.ndarray:
    return np.asarray(size * -np.expm1(-np.maximum(TIMES - 307, 0) / 46))


def test_the_warmed_sensor_comes_first_and_the_others_did_not_move() -> None:
    """6.4 K on 0.06 K of noise, among a noisy, a resting, a coarse and a drifting point."""
    rng = np.random.default_rng(1)
    points = (
        Watched("noisy", good_samples(TIMES, rng.normal(600, 20, 600))),
        Watched("rests", good_samples(TIMES, np.full(600, 4.0))),
        Watched("coarse", good_samples(TIMES, np.round(20 + rng.normal(0, 0.2, 600), 1)), resolution=0.1),
        Watched("drifts", good_samples(TIMES, 19 + 0.004 * TIMES + rng.normal(0, 0.06, 600))),
        Watched("warmed", good_samples(TIMES, 21.5 + warmed(6.4) + rng.normal(0, 0.06, 600))),
    )

    order = which_moved(points, MOMENT_S, 250, 250)

    assert order[0].name == "warmed"
    assert order[0].moved is Moved.MOVED
    assert 60 <= order[0].times <= 140
    assert all(one.moved is Moved.STILL for one in order[1:])


def test_one_step_of_a_value_that_rested_is_no_movement() -> None:
    """It may have crept over the edge by itself."""
    numbers = np.where(TIMES > 320, 21.5, 21.4)

    assert ranked(Watched("p", good_samples(TIMES, numbers), resolution=0.1))["p"].moved is Moved.STILL


def test_many_steps_of_a_value_that_rested_are_movement() -> None:
    """Resting is no lack of noise to measure by: its step is."""
    numbers = np.where(TIMES > 320, 25.4, 21.4)

    assert ranked(Watched("p", good_samples(TIMES, numbers), resolution=0.1))["p"].moved is Moved.MOVED


def test_one_jump_of_a_value_of_unknown_step_is_unclear() -> None:
    numbers = np.where(TIMES > 320, 25.4, 21.4)

    assert ranked(Watched("p", good_samples(TIMES, numbers)))["p"].moved is Moved.UNCLEAR


def test_a_contact_that_rested_and_closed_moved() -> None:
    """One that also changed before says nothing sure."""
    rested, restless = np.where(TIMES > 310, 1.0, 0.0), (TIMES // 40 % 2).astype(float)
    restless[300:] = 1.0

    found = ranked(
        Watched("rested", good_samples(TIMES, rested), 1.0, Nature.STATE),
        Watched("restless", good_samples(TIMES, restless), 1.0, Nature.STATE),
    )

    assert found["rested"].moved is Moved.MOVED
    assert found["restless"].moved is not Moved.MOVED


def test_one_odd_reading_is_no_movement() -> None:
    """Such as an old reply."""
    numbers = np.random.default_rng(1).normal(20, 0.1, 600)
    numbers[400] = 300.0

    assert ranked(Watched("p", good_samples(TIMES, numbers)))["p"].moved is Moved.STILL


def test_200_resting_points_hardly_ever_seem_to_move() -> None:
    """Ten rankings of 200 noisy points each, fine and coarse: none moved."""
    rng = np.random.default_rng(8)
    moved = 0
    for _ in range(10):
        noise = rng.normal(0, 1, (200, 600))
        noise[::2] = np.round(noise[::2] * 2) / 2
        found = ranked(*(Watched(str(i), good_samples(TIMES, row)) for i, row in enumerate(noise)))
        moved += sum(one.moved is Moved.MOVED for one in found.values())

    assert moved == 0


def test_a_point_that_did_not_answer_is_not_seen() -> None:
    numbers = np.where(TIMES < 300, 20.0, np.nan)

    assert ranked(Watched("p", good_samples(TIMES, numbers)))["p"].moved is Moved.NOT_SEEN

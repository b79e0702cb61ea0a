"""Step responses against systems simulated by scipy.signal, whose dead time and lags are known."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import signal  # type: ignore[import-untyped]

from buswalk.domain.trend.samples import Samples, good_samples
from buswalk.domain.trend.step_response import NoStep, OneLag, StepResponse, WhyNoStep, step_response

MARK_S = 250.0


def answered(
    lags: tuple[float, ...], dead_s: float, gain: float, noise: float, seen_s: float, seed: int = 1, step: float = 0.0
) -> tuple[Samples, Samples]:
    """Return 250 s of rest and a response, one sample a second, of a system with these lags in a row."""
    rng = np.random.default_rng(seed)
    denominator = np.array([1.0])
    for lag in lags:
        denominator = np.polymul(denominator, [lag, 1.0])
    fine = np.linspace(0, seen_s + 1, int((seen_s + 1) * 20) + 1)
    _, response = signal.step(signal.TransferFunction([gain], denominator), T=fine)
    times = np.arange(0.0, MARK_S + seen_s, 1.0) + 0.37
    values = 21.5 + np.interp(times - MARK_S - dead_s, fine, response, left=0.0) + rng.normal(0, noise, len(times))
    if step:
        values = np.round(values / step) * step
    whole = good_samples(times, values)
    return whole.between(0, MARK_S), whole.between(MARK_S, MARK_S + seen_s)


def fitted(before: Samples, after: Samples) -> StepResponse:
    found = step_response(before, after, MARK_S)
    assert isinstance(found, StepResponse)
    return found


@pytest.mark.parametrize("dead_s", [0.0, 7.0, 40.0])
@pytest.mark.parametrize("lag_s", [12.0, 46.0, 90.0])
@pytest.mark.parametrize("gain", [6.4, -3.0])
def test_one_lag_is_found_with_dead_time_and_size(dead_s: float, lag_s: float, gain: float) -> None:
    """Values off by less than twice the limits told, and limits that are worth something."""
    found = fitted(*answered((lag_s,), dead_s, gain, 0.06, 400))

    assert abs(found.lag_s.value - lag_s) <= 2 * found.lag_s.limit
    assert abs(found.dead_time_s.value - dead_s) <= 2 * found.dead_time_s.limit + 0.05
    assert abs(found.step.value - gain) <= 2 * found.step.limit
    assert found.lag_s.limit < 0.1 * lag_s
    assert found.one_lag is OneLag.GOOD
    assert found.is_settled
    assert found.settled_s == pytest.approx(dead_s + 2.9957 * lag_s, rel=0.05, abs=1)


def test_limits_hold_in_19_of_20_worlds() -> None:
    """120 worlds that differ in nothing but noise: at least 90 % of true lags inside the limit."""
    worlds = [fitted(*answered((46.0,), 7.0, 6.4, 0.2, 200, seed)) for seed in range(120)]

    assert sum(abs(one.lag_s.value - 46.0) <= one.lag_s.limit for one in worlds) >= 108
    assert sum(abs(one.dead_time_s.value - 7.0) <= one.dead_time_s.limit for one in worlds) >= 108


def test_a_sensor_in_a_pocket_is_no_single_lag() -> None:
    """Two lags of 40 s and 25 s."""
    found = fitted(*answered((40.0, 25.0), 0.0, 6.0, 0.02, 400))

    assert found.one_lag is OneLag.TWO_LAGS


def test_an_oscillating_loop_is_not_called_one_lag() -> None:
    """Second order, damping 0.2: neither one lag nor two real ones."""
    before, _ = answered((10.0,), 0.0, 5.0, 0.02, 300)
    fine = np.arange(0.0, 300.0, 1.0)
    _, response = signal.step(signal.TransferFunction([5.0], [400.0, 8.0, 1.0]), T=fine)
    after = good_samples(MARK_S + 0.4 + fine, 21.5 + response)

    assert fitted(before, after).one_lag is OneLag.POOR


def test_a_response_cut_off_early_is_not_settled_and_its_limits_say_so() -> None:
    """30 s of a lag of 46 s."""
    found = fitted(*answered((46.0,), 0.0, 6.4, 0.06, 30))

    assert not found.is_settled
    assert abs(found.step.value - 6.4) <= 2 * found.step.limit
    assert found.step.limit > 0.3


def test_a_coarse_value_is_fitted_too() -> None:
    """Told in steps of 0.1."""
    found = fitted(*answered((46.0,), 7.0, 6.4, 0.01, 300, step=0.1))

    assert found.lag_s.value == pytest.approx(46, rel=0.05)
    assert found.one_lag is OneLag.GOOD


def test_rest_is_no_step() -> None:
    """Noise alone, in 50 worlds."""
    times = np.arange(0.0, MARK_S + 200, 1.0)
    worlds = [good_samples(times, np.random.default_rng(seed).normal(21.5, 0.06, len(times))) for seed in range(50)]

    kinds = [step_response(one.between(0, MARK_S), one.between(MARK_S, 1e9), MARK_S) for one in worlds]

    assert all(one == NoStep(WhyNoStep.STILL) for one in kinds)


def test_a_constant_value_is_no_step() -> None:
    rest, moved = good_samples(np.arange(10.0), np.full(10, 4.0)), good_samples(np.arange(10.0, 30.0), np.full(20, 4.0))

    assert step_response(rest, moved, 10.0) == NoStep(WhyNoStep.STILL)


def test_a_value_that_had_just_come_to_rest_is_measured_from_there() -> None:
    """Warmed for 200 s, then let go: the step back is as large as what was left of the way up."""
    times = np.arange(0.0, 800.0)
    warm = -np.expm1(-np.maximum(times - 7, 0) / 46) + np.expm1(-np.maximum(times - 207, 0) / 46)
    noise = np.random.default_rng(1).normal(0, 0.06, 800)
    whole = good_samples(times, np.round((21.5 + 6.4 * warm + noise) * 10) / 10)

    found = step_response(whole.between(0, 200), whole.between(200, 800), 200.0)

    assert isinstance(found, StepResponse)
    reached = 6.4 * -np.expm1(-193 / 46)
    assert found.step.value == pytest.approx(-reached, abs=0.12)
    assert found.lag_s.value == pytest.approx(46, abs=3)


def test_a_drift_that_goes_on_is_no_step() -> None:
    """A room that cools by 12 K an hour, told in tenths, and a mark in the middle of it: 20 worlds."""
    times = np.arange(0.0, 480.0)
    for seed in range(20):
        noise = np.random.default_rng(seed).normal(0, 0.04, 480)
        whole = good_samples(times, np.round((17.5 - times * 12 / 3600 + noise) * 10) / 10)

        found = step_response(whole.between(0, 360), whole.between(360, 480), 360.0)

        assert found == NoStep(WhyNoStep.GOES_ON)


def test_too_few_values_are_said() -> None:
    few, many = good_samples(np.arange(3.0), np.ones(3)), good_samples(np.arange(30.0), np.ones(30))

    assert step_response(few, many, 0) == NoStep(WhyNoStep.TOO_FEW_BEFORE)
    assert step_response(many, few, 0) == NoStep(WhyNoStep.TOO_FEW_AFTER)

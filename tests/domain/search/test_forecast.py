"""When something is likely to be found: computed by hand, and from the whole grid."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt
from buswalk.domain.search.forecast import Forecast, forecast_before, forecast_of
from buswalk.domain.search.order import ProbeCosts, Step, ordered_steps
from buswalk.domain.search.prior import usual_settings
from buswalk.domain.search.probe import Probe, ProbeFunction

PROBE = Probe(SerialSettings.of(9600, "8N2"), 1, ProbeFunction.HOLDING_REGISTERS)
COSTS = ProbeCosts(0.061, 0.002)


def steps(*gains_and_costs: tuple[float, float]) -> list[Step]:
    return [Step(PROBE, gain, cost_s) for gain, cost_s in gains_and_costs]


def test_each_share_is_due_when_the_hope_before_it_has_been_asked() -> None:
    """0.5 of 0.8 is more than half at 1 s; 0.7 of 0.8 is 87 % at 3 s; the rest comes at 7 s."""
    forecast = forecast_of(steps((0.5, 1.0), (0.2, 2.0), (0.1, 4.0)))

    assert forecast == Forecast(half_s=1.0, most_s=3.0, nearly_all_s=7.0, whole_s=7.0)


def test_when_nothing_is_left_nothing_is_forecast() -> None:
    assert forecast_of([]) == Forecast(0.0, 0.0, 0.0, 0.0)


def test_requests_without_hope_only_take_time() -> None:
    assert forecast_of(steps((0.0, 1.0), (0.0, 1.0))).whole_s == 2.0


def test_a_first_device_of_the_usual_kind_is_near() -> None:
    forecast = forecast_of(ordered_steps(range(1, 248), usual_settings(), Learnt(), COSTS))

    assert forecast.half_s < 0.4
    assert forecast.most_s < 5.8
    assert forecast.nearly_all_s < 28.0


def test_the_forecast_before_is_that_of_the_whole_order() -> None:
    weights = usual_settings()

    before = forecast_before(tuple(range(1, 248)), tuple(weights.items()), Learnt(), COSTS)

    assert before == forecast_of(ordered_steps(range(1, 248), weights, Learnt(), COSTS))


def test_silence_so_far_makes_the_rest_take_longer() -> None:
    whole = ordered_steps(range(1, 248), usual_settings(), Learnt(), COSTS)
    asked = frozenset(one.probe for one in whole[:500])

    later = forecast_of(ordered_steps(range(1, 248), usual_settings(), Learnt(asked=asked), COSTS))

    assert later.half_s > forecast_of(whole).half_s
    assert later.whole_s == pytest.approx(sum(one.cost_s for one in whole[500:]), rel=0.01)

"""What a search costs, worked out by hand."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import Depth, SearchPlan
from buswalk.domain.search.plan_cost import CostRates, PlanCost

EVEN = SerialSettings.of(9600, "8E1")
EVERYBODY = tuple(range(1, 248))


def test_the_cost_is_computed_from_bytes_on_the_wire_and_waits() -> None:
    """8 bytes of 11 bits at 9600 baud are 9.17 ms (Serial Line V1.02, 2.5.1), then 60 ms of wait; 03 and 04 each."""
    plan = SearchPlan(EVERYBODY, {EVEN: 1.0}, listen_s=0.0)

    cost = PlanCost(plan, CostRates(latency_s=0.001)).whole()

    assert cost.requests == 247 * 2
    assert cost.seconds == pytest.approx(247 * 2 * (8 * 11 / 9600 + 0.060 + 0.001))


def test_changes_of_settings_are_counted_in() -> None:
    """The order hops between settings from one request to the next, each time at the cost of a change."""
    plan = SearchPlan(EVERYBODY, {EVEN: 0.6, SerialSettings.of(19200, "8E1"): 0.4}, listen_s=0.0)

    steady, changing = (PlanCost(plan, CostRates(0.001, change_s)).whole() for change_s in (0.0, 0.002))

    assert changing.requests == steady.requests == 2 * 247 * 2
    assert 0.002 <= changing.seconds - steady.seconds <= 0.002 * changing.requests


def test_a_thorough_search_costs_its_passes_and_pauses() -> None:
    """9600 8E1: 741 requests a pass, waits of 60, 100 and 108 ms, then 1.5 s for likely ones, 505 ms for others."""
    plan = SearchPlan(EVERYBODY, {EVEN: 1.0}, listen_s=0.0, depth=Depth.THOROUGH)
    request_s, latency_s, likely = 8 * 11 / 9600, 0.001, 14

    cost = PlanCost(plan, CostRates(latency_s)).whole()

    passes_s = 741 * (3 * (request_s + latency_s) + 0.060 + 0.100 + 0.108)
    patient_s = 3 * likely * (request_s + latency_s + 1.5)
    paused_s = 3 * (247 - likely) * (request_s + latency_s + 0.505)
    assert cost.requests == 4 * 741
    assert cost.seconds == pytest.approx(passes_s + patient_s + paused_s)


def test_what_was_asked_costs_no_more() -> None:
    plan = SearchPlan(EVERYBODY, {EVEN: 1.0}, listen_s=0.0)

    left = PlanCost(plan).left({EVEN: 494 - 4})

    assert left.requests == 4
    assert left.seconds == pytest.approx(4 * (8 * 11 / 9600 + 0.060))


def test_listening_comes_on_top() -> None:
    with_listening = PlanCost(SearchPlan(EVERYBODY, {EVEN: 1.0}, listen_s=10.0)).whole()
    without = PlanCost(SearchPlan(EVERYBODY, {EVEN: 1.0}, listen_s=0.0)).whole()

    assert with_listening.seconds - without.seconds == pytest.approx(10.0)

"""What a cycle consists of and what would change it, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.cycle_forecast import (
    CyclePart,
    CycleRules,
    DeviceCycle,
    ReadSize,
    at_speed,
    cycle_forecast,
    what_would_help,
    with_dead,
    with_latency,
    with_more,
    with_time_out,
)
from buswalk.domain.registers.cycle_words import cycle_words
from buswalk.domain.registers.read_costs import ReadCosts

E1 = SerialSettings.of(9600, "8E1")
CHARACTER_S = 11 / 9600
SILENCE_S = 3.5 * CHARACTER_S
RULES = CycleRules(absent_every_s=15.0)
QUICK = DeviceCycle(
    E1, (ReadSize(33), ReadSize(15)), ReadCosts(CHARACTER_S, 0.020 + SILENCE_S + 0.032), turnaround_s=0.020
)
"""Ten registers and one: 48 bytes are 55 ms; twice 20 ms of turnaround, 4.01 ms of t3.5 and 32 ms of adapter."""


def test_a_cycle_is_the_sum_of_its_parts() -> None:
    told = cycle_forecast([QUICK, QUICK], RULES)

    assert told.cycle_s == pytest.approx(2 * (48 * CHARACTER_S + 2 * (0.020 + SILENCE_S + 0.032)))
    assert told.exchanges == 4
    assert told.seconds(CyclePart.CHARACTERS) == pytest.approx(0.110)
    assert told.seconds(CyclePart.TURNAROUND) == pytest.approx(0.080)
    assert told.seconds(CyclePart.ADAPTER) == pytest.approx(0.128)
    assert told.seconds(CyclePart.SILENCES) == pytest.approx(4 * SILENCE_S)
    assert told.parts[0].part is CyclePart.ADAPTER


def test_twice_the_speed_halves_characters_and_silences_only() -> None:
    told = cycle_forecast(at_speed([QUICK], 19_200), RULES)

    assert told.seconds(CyclePart.CHARACTERS) == pytest.approx(0.0275)
    assert told.seconds(CyclePart.SILENCES) == pytest.approx(SILENCE_S)
    assert told.seconds(CyclePart.TURNAROUND) == pytest.approx(0.040)
    assert told.seconds(CyclePart.ADAPTER) == pytest.approx(0.064)


def test_an_adapter_that_hands_over_sooner_is_gained_twice_an_exchange() -> None:
    """Once for the reply, once in the silence after it."""
    saved_s = cycle_forecast([QUICK], RULES).cycle_s - cycle_forecast(with_latency([QUICK], 0.001), RULES).cycle_s

    assert saved_s == pytest.approx(2 * (0.032 - 0.002))


def test_a_device_that_is_dead_costs_its_wait_each_fifteen_seconds_and_no_more() -> None:
    """1.5 s in each 15 are lost, so what is left of the time is nine tenths: a cycle is 10/9 as long."""
    one = cycle_forecast([QUICK], RULES).cycle_s

    told = cycle_forecast(with_dead([QUICK, QUICK], 1, unanswered_s=1.5), RULES)

    assert told.cycle_s == pytest.approx(one * 10 / 9)
    assert told.exchanges == 2


def test_requests_that_are_lost_now_and_then_cost_the_wait() -> None:
    lossy = replace(QUICK, unanswered_share=0.1, unanswered_s=1.5)

    longer = cycle_forecast([lossy], RULES)
    shorter = cycle_forecast(with_time_out([lossy], 0.5, 0.2), RULES)

    assert longer.seconds(CyclePart.UNANSWERED) == pytest.approx(0.3)
    assert longer.cycle_s == pytest.approx(0.9 * cycle_forecast([QUICK], RULES).cycle_s + 0.3)
    assert longer.cycle_s - shorter.cycle_s == pytest.approx(2 * 0.1 * 0.3)


def test_more_devices_like_these_add_what_these_take() -> None:
    one = cycle_forecast([QUICK], RULES).cycle_s

    assert cycle_forecast(with_more([QUICK], 3), RULES).cycle_s == pytest.approx(4 * one)


def test_a_share_of_the_line_stretches_the_cycle() -> None:
    whole = cycle_forecast([QUICK], RULES).cycle_s

    assert cycle_forecast([QUICK], replace(RULES, share=0.25)).cycle_s == pytest.approx(4 * whole)


def test_two_settings_cost_two_changes_a_cycle_and_one_costs_none() -> None:
    rules = replace(RULES, settings_change_s=0.01)
    other = replace(QUICK, settings=SerialSettings.of(9600, "8O1"))

    assert cycle_forecast([QUICK, QUICK], rules).seconds(CyclePart.SETTINGS) == 0.0
    assert cycle_forecast([QUICK, other], rules).seconds(CyclePart.SETTINGS) == pytest.approx(0.02)


def test_periods_ask_for_a_share_of_the_line() -> None:
    """Each exchange takes about 84 ms: every 0.1 s it would take 84 % of the line."""
    periodic = replace(QUICK, reads=(ReadSize(24, 0.1),))
    one_s = 24 * CHARACTER_S + QUICK.costs.beside_s

    assert cycle_forecast([periodic], RULES).demand == pytest.approx(one_s / 0.1)
    assert cycle_forecast([periodic, periodic], RULES).demand == pytest.approx(2 * one_s / 0.1)


def test_what_helps_most_comes_first_and_what_does_not_is_left_out() -> None:
    helps = what_would_help([QUICK], RULES)

    assert [one.what for one in helps] == [
        "an adapter that hands over after 1 ms",
        "the next higher speed, on the slowest devices",
    ]
    assert helps[0].saves_s == pytest.approx(0.060)
    assert helps[1].saves_s == pytest.approx(0.0275 + SILENCE_S)


def test_a_pause_that_devices_may_not_need_is_named() -> None:
    paused = replace(QUICK, minimum_gap_s=0.2, costs=ReadCosts(CHARACTER_S, 0.020 + 0.2), reads=(ReadSize(15),))

    assert what_would_help([paused], RULES)[0].what == "no pause beyond t3.5, if the devices bear it"


def test_in_words_with_seconds() -> None:
    told = cycle_forecast([QUICK, QUICK], RULES)

    words = cycle_words(told, what_would_help([QUICK, QUICK], RULES))

    assert words == (
        "a cycle of 4 requests takes 334 ms",
        "what limits it: the adapter and this computer, 128 ms of it (38%)",
        "an adapter that hands over after 1 ms would save 120 ms",
        "the next higher speed, on the slowest devices would save 63 ms",
    )


def test_an_overload_is_said_in_words() -> None:
    periodic = replace(QUICK, reads=(ReadSize(24, 0.05),))

    words = cycle_words(cycle_forecast([periodic], RULES), ())

    assert words[-1] == "the periods ask for 1.7 times what the line can carry: all of them become longer alike"

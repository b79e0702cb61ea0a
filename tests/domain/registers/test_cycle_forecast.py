"""What a cycle consists of and what would change it, worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.cycle_forecast import (
    CyclePart,
    CycleRules,
    DeviceCycle,
    MeasuredCycle,
    ReadsAtSpeed,
    ReadSize,
    cycle_forecast,
)
from buswalk.domain.registers.cycle_words import cycle_words, what_if_words
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.what_if import (
    MoreDevices,
    OtherSpeed,
    OtherTimeOut,
    TheseSilent,
    TooShortFor,
    at_speed,
    what_if,
    with_latency,
    with_more,
    with_silent,
    with_time_out,
)
from buswalk.domain.registers.what_would_help import what_would_help

E1 = SerialSettings.of(9600, "8E1")
CHARACTER_S = 11 / 9600
SILENCE_S = 3.5 * CHARACTER_S
RULES = CycleRules(absent_every_s=15.0)
QUICK = DeviceCycle(
    21,
    E1,
    (ReadSize(33), ReadSize(15)),
    ReadCosts(CHARACTER_S, 0.020 + SILENCE_S + 0.032),
    turnaround_s=0.020,
    absent_s=1.5,
    wait_s=0.5,
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

    told = cycle_forecast(with_silent([QUICK, replace(QUICK, server_address=22)], [22]), RULES)

    assert told.cycle_s == pytest.approx(one * 10 / 9)
    assert told.exchanges == 2


def test_requests_that_are_lost_now_and_then_cost_the_wait() -> None:
    lossy = replace(QUICK, unanswered_share=0.1, unanswered_s=1.5)

    longer = cycle_forecast([lossy], RULES)
    shorter = cycle_forecast(with_time_out([lossy], 0.2), RULES)

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
        "what limits it: the adapter and this computer, 128 ms of it (38 %)",
        "an adapter that hands over after 1 ms would save 120 ms",
        "the next higher speed, on the slowest devices would save 63 ms",
    )


def test_an_overload_is_said_in_words() -> None:
    periodic = replace(QUICK, reads=(ReadSize(24, 0.05),))

    words = cycle_words(cycle_forecast([periodic], RULES), ())

    assert words[-1] == "the periods ask for 1.7 times what the line can carry: all of them become longer alike"


BOTH = MeasuredCycle((QUICK, replace(QUICK, server_address=22, longest_turnaround_s=0.31)), RULES)


def test_absent_devices_and_the_others_take_turns_where_there_are_many() -> None:
    """Twenty of 1.5 s cannot all be asked each 15 s: one of them is asked for each of the two other requests."""
    many = (QUICK, *(replace(QUICK, server_address=at, is_absent=True) for at in range(31, 51)))

    assert cycle_forecast(many, RULES).cycle_s == pytest.approx(cycle_forecast([QUICK], RULES).cycle_s + 2 * 1.5)


def test_another_speed_is_asked_by_the_plan_that_was_made_for_it() -> None:
    """One request of 50 bytes in place of two: 50 characters at twice the speed, and what one exchange costs beside."""
    planned = replace(QUICK, reads_at=(ReadsAtSpeed(19_200, (ReadSize(50),)),))

    told = what_if(MeasuredCycle((planned,), RULES), [OtherSpeed(19_200)])

    beside_s = 0.020 + SILENCE_S / 2 + 0.032
    assert (told.now.exchanges, told.then.exchanges) == (2, 1)
    assert told.then.cycle_s == pytest.approx(50 * CHARACTER_S / 2 + beside_s)


def test_changes_work_together() -> None:
    """Two at 19200, one of them dead, one more like the other: twice the device that answers, by 10/9."""
    told = what_if(BOTH, [OtherSpeed(19_200), MoreDevices(1, 21), TheseSilent((22,))])

    one_s = cycle_forecast(at_speed([QUICK], 19_200), RULES).cycle_s
    assert told.answering == 2
    assert told.then.cycle_s == pytest.approx(2 * one_s * 10 / 9)


def test_a_time_out_below_what_a_device_was_seen_to_take_is_said() -> None:
    told = what_if(BOTH, [OtherTimeOut(0.3)])

    assert told.too_short_for == (TooShortFor(22, 0.31),)
    assert what_if_words(told) == (
        "with a time-out of 300 ms: a cycle would take 334 ms, as now",
        "but 22 was seen to take up to 310 ms before it answered: such replies would be missed",
    )


def test_a_shorter_time_out_makes_absent_devices_cheaper() -> None:
    """1.5 s of 15 become 1.2 s of 15: the others have 92 % of the time instead of 90 %."""
    absent = MeasuredCycle((QUICK, replace(QUICK, server_address=22, is_absent=True)), RULES)

    told = what_if(absent, [OtherTimeOut(0.2)])

    assert told.now.cycle_s / told.then.cycle_s == pytest.approx(0.92 / 0.90)


def test_what_if_in_words() -> None:
    """Two devices take 334 ms: 110 of characters and 16 of t3.5 become half of it."""
    assert what_if_words(what_if(BOTH, [OtherSpeed(19_200)])) == (
        "at 19200 baud: a cycle would take 271 ms instead of 334 ms, 19 % less",
    )
    assert what_if_words(what_if(BOTH, [OtherSpeed(1_200)])) == (
        "at 1200 baud: a cycle would take 1.22 s instead of 334 ms, 3.6 times as long",
        "what would limit it then: characters on the line",
    )
    assert what_if_words(what_if(BOTH, [MoreDevices(6)]))[0] == (
        "with 6 more devices like these: a cycle would take 1.34 s instead of 334 ms, 4.0 times as long"
    )
    assert what_if_words(what_if(BOTH, [TheseSilent((21, 22))])) == (
        "with 21, 22 silent: nobody would answer, so there would be no cycle",
    )


def test_what_periods_would_take_is_said() -> None:
    """Each exchange takes about 83.5 ms: of 0.1 s that is 84 %, and for two devices 1.7 times the line."""
    periodic = MeasuredCycle((replace(QUICK, reads=(ReadSize(24, 0.1),)),), RULES)

    assert what_if_words(what_if(periodic, [MoreDevices(1, 21)]))[1] == (
        "the periods would ask for 1.7 times what the line can carry"
    )


def test_a_client_that_asks_dead_devices_each_time_waits_for_them() -> None:
    """Two requests to 22 are 8 characters and 0.5 s each: 1.02 s beside the 167 ms that 21 takes."""
    told = what_if(BOTH, [TheseSilent((22,))])

    one_s = cycle_forecast([QUICK], RULES).cycle_s
    assert told.asking_all_s == pytest.approx(one_s + 2 * (8 * CHARACTER_S + 0.5))
    assert what_if_words(told) == (
        "with 22 silent: a cycle of the 1 that would still answer would take 186 ms instead of 334 ms, 44 % less",
        "silent devices are asked rarely here: a client that asks them in each cycle would take 1.19 s",
    )

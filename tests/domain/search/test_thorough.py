"""What a thorough search asks: every cell in its own framing, in passes, speed by speed."""

from __future__ import annotations

from itertools import groupby, product

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.thorough import HOLD_S, Pass, ThoroughScope
from tests.jobs.searching.simulated_search import settings_at

ADDRESSES = tuple(range(1, 248))
LATENCY_S = 0.001
SCOPE = ThoroughScope(ADDRESSES, tuple(settings_at(9600, 19200).items()), frozenset({77}), LATENCY_S)
TURNS = tuple(SCOPE.turns())


@pytest.mark.parametrize("of_pass", [Pass.FIRST, Pass.SECOND, Pass.THIRD])
def test_each_pass_asks_every_cell_with_all_three_functions_in_its_own_framing(of_pass: Pass) -> None:
    asked = [
        (one.probe.settings, one.probe.server_address, int(one.probe.function))
        for one in TURNS
        if one.of_pass is of_pass
    ]

    assert len(asked) == len(set(asked))
    assert set(asked) == set(product(settings_at(9600, 19200), ADDRESSES, (1, 3, 4)))


def test_every_cell_is_asked_once_after_a_pause_of_half_a_second_with_room_for_the_answer() -> None:
    paused = [one for one in TURNS if one.gap_s]

    assert {(one.probe.settings, one.probe.server_address, int(one.probe.function)) for one in paused} == set(
        product(settings_at(9600, 19200), ADDRESSES, (1, 3, 4))
    )
    assert all(one.gap_s >= 0.5 and one.wait_s >= 0.5 for one in paused)
    patient = {one.probe.server_address for one in paused if one.wait_s >= 1.5}
    assert {1, 2, 247, 77} <= patient
    assert 150 not in patient


def test_one_block_a_speed_without_hopping() -> None:
    before_pauses = [one.probe.settings.baud_rate for one in TURNS if one.of_pass is not Pass.PAUSED]

    assert [speed for speed, _ in groupby(before_pauses)] == [9600, 19200]


def test_a_few_addresses_are_asked_again_until_devices_that_look_for_the_speed_had_their_time() -> None:
    """They listen up to 10 s at each of five speeds, and need some frames at the right one."""
    few = ThoroughScope((1, 2, 3), ((SerialSettings.of(9600, "8N2"), 1.0),), frozenset(), LATENCY_S)

    held = [one for one in few.turns() if one.of_pass in (Pass.FIRST, Pass.HOLD)]

    assert sum(one.cost_s(LATENCY_S) for one in held) >= HOLD_S > 5 * 10.0
    assert {one.probe.settings for one in held} == {SerialSettings.of(9600, "8N2")}


def test_what_is_hoped_for_adds_up_to_the_devices_that_answer_one_of_the_functions() -> None:
    """All settings and addresses asked, all passes together: 1 - 0.03 x 0.15 x 0.10 of them, by the weights given."""
    whole = sum(settings_at(9600, 19200).values())

    steps = SCOPE.steps(TURNS)

    assert sum(one.gain for one in steps) / whole == pytest.approx((1 - 0.03 * 0.15 * 0.10), rel=1e-3)
    assert all(step.gain == 0.0 for step, turn in zip(steps, TURNS, strict=True) if turn.of_pass is Pass.HOLD)

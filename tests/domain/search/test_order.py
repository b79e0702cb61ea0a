"""Order of questions: what is gained per second decides, and what was asked before lowers the hope."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt, quick_probes
from buswalk.domain.search.order import ProbeCosts, Step, ordered_steps
from buswalk.domain.search.prior import address_weight, usual_settings
from buswalk.domain.search.probe import Probe, ProbeFunction, TwoStopBits

COILS, HOLDING, INPUT = ProbeFunction
N_9600, E_9600 = SerialSettings.of(9600, "8N2"), SerialSettings.of(9600, "8E1")
N_19200, E_19200 = SerialSettings.of(19200, "8N2"), SerialSettings.of(19200, "8E1")
COSTS = ProbeCosts(0.061, 0.002)
ALL = range(1, 248)
NOTHING = Learnt()


def order(weights: dict[SerialSettings, float], addresses: range = range(1, 2), learnt: Learnt = NOTHING) -> list[Step]:
    return ordered_steps(addresses, weights, learnt, COSTS)


def changes(steps: list[Step]) -> int:
    return sum(one.probe.settings != other.probe.settings for one, other in pairwise(steps))


def test_the_first_questions_reach_two_framings_at_the_likeliest_speeds() -> None:
    steps = order(usual_settings(), ALL)

    assert [one.probe for one in steps[:2]] == [Probe.of_one_parity(N_9600, 1), Probe.of_one_parity(N_19200, 1)]


def test_a_gain_is_the_weight_of_those_who_answer_and_were_silent_before() -> None:
    """By hand: 10 % silent on 01, 3 % on 03, 15 % on 04; a one-parity request counts 0.8 for its parity half."""
    steps = order({N_9600: 0.6, E_9600: 0.4})
    gains = {(one.probe.settings, int(one.probe.function)): one.gain for one in steps}
    weight = address_weight(1, frozenset())

    assert [int(one.probe.function) for one in steps] == [1, 3, 3, 4, 4]
    assert gains[N_9600, 1] == pytest.approx(weight * (0.6 * 0.9 + 0.4 * 0.8 * 0.9))
    assert gains[E_9600, 3] == pytest.approx(weight * 0.4 * 0.28 * 0.97)
    assert gains[N_9600, 3] == pytest.approx(weight * 0.6 * 0.1 * 0.97)
    assert gains[N_9600, 4] == pytest.approx(weight * 0.6 * 0.1 * 0.03 * 0.85)
    assert gains[E_9600, 4] == pytest.approx(weight * 0.4 * 0.28 * 0.03 * 0.85)


def test_a_known_second_stop_bit_makes_the_parity_half_whole() -> None:
    first = order({N_9600: 0.6, E_9600: 0.4}, learnt=Learnt(two_stop_bits=TwoStopBits.SENT))[0]

    assert first.gain == pytest.approx(address_weight(1, frozenset()) * 0.9)


def test_nothing_more_is_hoped_for_the_same_function_at_another_start() -> None:
    """3 has even weight: 03 was asked without parity by the one-parity request; planned, it is asked both ways."""
    odd = SerialSettings.of(9600, "8O1")
    steps = order({N_9600: 0.6, odd: 0.4}, range(3, 4))
    gains = {one.probe: one.gain for one in steps}

    assert gains[Probe(N_9600, 3, HOLDING)] == 0.0
    assert gains[Probe(odd, 3, HOLDING)] > 0.0


def test_where_something_was_found_asking_goes_on() -> None:
    seldom = SerialSettings.of(4800, "8N2")

    steps = order(usual_settings(), ALL, Learnt(found_at=frozenset({seldom})))

    assert steps[0].probe == Probe(seldom, 1, HOLDING)


def test_a_dearer_question_of_the_same_hope_waits() -> None:
    slow = SerialSettings.of(1200, "8N2")

    steps = order({slow: 0.5, N_9600: 0.5})

    assert [one.probe.settings for one in steps if one.probe.function is HOLDING] == [N_9600, slow]


def test_a_dear_change_of_settings_is_made_less_often_and_is_paid_for() -> None:
    cheap = ordered_steps(ALL, usual_settings(), NOTHING, ProbeCosts(0.061, 0.0))
    dear = ordered_steps(ALL, usual_settings(), NOTHING, ProbeCosts(0.061, 0.1))

    assert changes(dear) < changes(cheap)
    whole = sum(one.cost_s for one in dear)
    without = sum(one.cost_s for one in cheap)
    assert whole - without == pytest.approx((changes(dear) + 1) * 0.1)


@settings(max_examples=25, deadline=None)
@given(
    st.sets(st.integers(1, 247), min_size=1, max_size=12),
    st.sets(st.sampled_from(list(usual_settings())), min_size=1, max_size=5),
    st.data(),
)
def test_what_was_asked_is_not_asked_again_and_the_hope_adds_up(
    addresses: set[int], chosen: set[SerialSettings], data: st.DataObject
) -> None:
    weights = {one: usual_settings()[one] for one in chosen}
    everything = set(quick_probes(addresses, weights, NOTHING))
    asked = frozenset(data.draw(st.sets(st.sampled_from(sorted(everything, key=str)))))

    all_of_it = ordered_steps(addresses, weights, NOTHING, COSTS)
    rest = ordered_steps(addresses, weights, Learnt(asked=asked), COSTS)

    assert {one.probe for one in rest} == everything - asked
    assert sum(one.gain for one in rest) <= sum(one.gain for one in all_of_it) + 1e-12
    assert sum(one.gain for one in all_of_it) <= sum(weights.values())

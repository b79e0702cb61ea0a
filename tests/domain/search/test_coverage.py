"""What a quick search asks of whom: nothing is left out without being known."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt, functions_by_setting, quick_probes, requests_at
from buswalk.domain.search.prior import usual_settings
from buswalk.domain.search.probe import Probe, ProbeFunction, Shape, TwoStopBits

COILS, HOLDING, INPUT = ProbeFunction
N_9600, E_9600, O_9600 = (SerialSettings.of(9600, one) for one in ("8N2", "8E1", "8O1"))
N_115200 = SerialSettings.of(115_200, "8N2")
USUAL = usual_settings()
NOTHING = Learnt()
LEARNT = (
    NOTHING,
    Learnt(two_stop_bits=TwoStopBits.SENT),
    Learnt(two_stop_bits=TwoStopBits.NOT_SENT),
    Learnt(found_at=frozenset({E_9600})),
    Learnt(planned=frozenset({200, 201})),
)


def asked_of(address: int, learnt: Learnt = NOTHING) -> dict[SerialSettings, frozenset[int]]:
    seen = functions_by_setting(quick_probes([address], USUAL, learnt))
    return {one: functions for (_, one), functions in seen.items()}


@settings(max_examples=60, deadline=None)
@given(
    st.sets(st.integers(1, 247), min_size=1, max_size=20),
    st.sets(st.sampled_from(list(USUAL)), min_size=1),
    st.sampled_from(LEARNT),
)
def test_every_address_is_asked_two_functions_at_every_setting_and_nothing_twice(
    addresses: set[int], chosen: set[SerialSettings], learnt: Learnt
) -> None:
    weights = {one: USUAL[one] for one in chosen}

    probes = list(quick_probes(addresses, weights, learnt))

    assert len(probes) == len(set(probes))
    functions = functions_by_setting(probes)
    assert all(len(functions[address, one]) >= 2 for address in addresses for one in chosen)
    assert {probe.settings for probe in probes} == chosen
    assert requests_at(addresses, weights, learnt) == Counter(one.settings for one in probes)


def test_an_address_of_odd_weight_is_asked_with_coils_where_even_parity_is_looked_for_too() -> None:
    """97 = 0x61 has three bits set. 04 is left out where little is hoped for."""
    asked = asked_of(97)

    assert asked[N_9600] == {1, 3, 4}
    assert asked[E_9600] == {1, 3}
    assert asked[O_9600] == asked[N_115200] == {3, 4}


def test_an_address_of_even_weight_is_asked_with_registers_only() -> None:
    """96 = 0x60 has two bits set: one request with 03 serves both without parity and odd."""
    probes = list(quick_probes([96], USUAL, NOTHING))

    assert set(asked_of(96).values()) == {frozenset({3, 4})}
    assert Probe(N_9600, 96, HOLDING, Shape.ONE_PARITY) in probes
    assert Probe(N_9600, 96, HOLDING) not in probes
    assert Probe(O_9600, 96, HOLDING) not in probes


@pytest.mark.parametrize("learnt", [Learnt(planned=frozenset({97})), Learnt(found_at=frozenset({E_9600}))])
def test_planned_addresses_and_found_settings_are_asked_with_everything(learnt: Learnt) -> None:
    assert asked_of(97, learnt)[E_9600] == {1, 3, 4}


def test_an_adapter_that_sends_one_stop_bit_is_given_ordinary_requests_only() -> None:
    probes = list(quick_probes(range(1, 248), USUAL, replace(NOTHING, two_stop_bits=TwoStopBits.NOT_SENT)))

    assert {one.shape for one in probes} == {Shape.ORDINARY}
    assert len(probes) == 247 * len(USUAL) * 2


def test_where_one_framing_is_looked_for_nothing_is_asked_for_another() -> None:
    probes = list(quick_probes(range(1, 248), {N_9600: 1.0}, NOTHING))

    assert {(one.function, one.shape) for one in probes} == {(HOLDING, Shape.ORDINARY), (INPUT, Shape.ORDINARY)}

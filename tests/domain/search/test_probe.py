"""Order of questions: what is gained per second decides."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.request import Effect
from buswalk.domain.search.prior import usual_settings
from buswalk.domain.search.probe import Probe, ProbeFunction, likeliness, ordered_probes, probe_cost_s

HOLDING, INPUT = ProbeFunction.HOLDING_REGISTERS, ProbeFunction.INPUT_REGISTERS
N_9600 = SerialSettings.of(9600, "8N2")
E_19200 = SerialSettings.of(19200, "8E1")
NOTHING: frozenset[int] = frozenset()
NOWHERE: frozenset[SerialSettings] = frozenset()
WAIT_S = 0.060


def test_the_request_is_a_harmless_read_of_one_register() -> None:
    """Application V1.1b3, 6.3 and 6.4: function, start address 0, quantity 1."""
    assert Probe(N_9600, 1, HOLDING).request().pdu() == bytes.fromhex("03 00 00 00 01")
    assert Probe(N_9600, 1, INPUT).request().pdu() == bytes.fromhex("04 00 00 00 01")
    assert {Probe(N_9600, 1, one).request().effect for one in ProbeFunction} == {Effect.READS}


def test_a_probe_costs_its_frame_and_the_wait() -> None:
    """8 characters of 11 bits at 9600 are 9.17 ms."""
    assert probe_cost_s(N_9600, WAIT_S) == pytest.approx(88 / 9600 + WAIT_S)


def test_the_first_questions_are_address_one_at_the_two_likeliest_settings() -> None:
    probes = ordered_probes(range(1, 248), usual_settings(), NOTHING, NOWHERE, WAIT_S)

    assert probes[:2] == [Probe(N_9600, 1, HOLDING), Probe(E_19200, 1, HOLDING)]


def test_where_something_was_found_asking_goes_on() -> None:
    slow = SerialSettings.of(1200, "8N2")

    probes = ordered_probes(range(1, 248), usual_settings(), NOTHING, frozenset({slow}), WAIT_S)

    assert probes[0] == Probe(slow, 1, HOLDING)


def test_a_dearer_question_of_the_same_hope_waits() -> None:
    slow, quick = SerialSettings.of(1200, "8N2"), SerialSettings.of(9600, "8N2")

    probes = ordered_probes([1], {slow: 0.5, quick: 0.5}, NOTHING, NOWHERE, WAIT_S)

    assert [one.settings for one in probes if one.function is HOLDING] == [quick, slow]


@settings(max_examples=40)
@given(
    st.sets(st.integers(1, 247), min_size=1, max_size=30),
    st.sets(st.sampled_from(list(usual_settings())), min_size=1),
    st.frozensets(st.integers(1, 247), max_size=10),
)
def test_every_cell_is_asked_with_both_functions_exactly_once(
    addresses: set[int], chosen: set[SerialSettings], planned: frozenset[int]
) -> None:
    weights = {one: usual_settings()[one] for one in chosen}

    probes = ordered_probes(addresses, weights, planned, NOWHERE, WAIT_S)

    assert len(probes) == len(set(probes)) == 2 * len(addresses) * len(chosen)
    assert {(one.settings, one.server_address) for one in probes} == {(s, a) for s in chosen for a in addresses}


def test_a_planned_address_is_the_likelier_suspect() -> None:
    weights = usual_settings()
    planned = frozenset({200})

    suspects = sorted(
        (Probe(N_9600, address, HOLDING) for address in (150, 200)),
        key=lambda one: -likeliness(one, weights, planned, NOWHERE),
    )

    assert [one.server_address for one in suspects] == [200, 150]

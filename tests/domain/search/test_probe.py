"""One question of a search: what it sends, whom it reaches, what it costs."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.functions.read_coils import ReadCoils
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.request import Effect
from buswalk.domain.search.one_parity import one_parity_read
from buswalk.domain.search.prior import usual_settings
from buswalk.domain.search.probe import (
    Probe,
    ProbeFunction,
    Shape,
    is_search_request,
    likeliness,
    probe_cost_s,
    without_parity,
)

COILS, HOLDING, INPUT = ProbeFunction
N_9600 = SerialSettings.of(9600, "8N2")
E_9600 = SerialSettings.of(9600, "8E1")
O_9600 = SerialSettings.of(9600, "8O1")
NOWHERE: frozenset[SerialSettings] = frozenset()
WAIT_S = 0.060


def test_the_request_is_a_harmless_read_of_one_coil_or_register() -> None:
    """Application V1.1b3, 6.1, 6.3 and 6.4: function, start address 0, quantity 1."""
    assert Probe(N_9600, 1, COILS).request().pdu() == bytes.fromhex("01 00 00 00 01")
    assert Probe(N_9600, 1, HOLDING).request().pdu() == bytes.fromhex("03 00 00 00 01")
    assert Probe(N_9600, 1, INPUT).request().pdu() == bytes.fromhex("04 00 00 00 01")
    assert {Probe(N_9600, 1, one).request().effect for one in ProbeFunction} == {Effect.READS}


def test_a_one_parity_request_has_the_function_of_its_address() -> None:
    """1 has one bit set, 3 has two."""
    odd, even = Probe.of_one_parity(N_9600, 1), Probe.of_one_parity(N_9600, 3)

    assert (odd.function, odd.request().pdu()) == (COILS, bytes.fromhex("01 FE FB 01 01"))
    assert (even.function, even.request().pdu()) == (HOLDING, bytes.fromhex("03 FF FA 00 03"))


def test_a_one_parity_request_reaches_two_settings() -> None:
    assert Probe.of_one_parity(N_9600, 1).reaches() == (N_9600, E_9600)
    assert Probe.of_one_parity(N_9600, 3).reaches() == (N_9600, O_9600)
    assert Probe(E_9600, 1, HOLDING).reaches() == (E_9600,)


def test_its_ordinary_form_has_the_same_function_in_one_framing() -> None:
    assert Probe.of_one_parity(N_9600, 1).ordinary(E_9600) == Probe(E_9600, 1, COILS, Shape.ORDINARY)


def test_a_closer_look_is_no_search_request() -> None:
    assert is_search_request(1, one_parity_read(1))
    assert is_search_request(1, ReadHoldingRegisters(0, 1))
    assert not is_search_request(1, ReadCoils(0, 1))
    assert not is_search_request(1, one_parity_read(3))


def test_a_probe_costs_its_frame_and_the_wait() -> None:
    """8 characters of 11 bits at 9600 are 9.17 ms."""
    assert probe_cost_s(N_9600, WAIT_S) == pytest.approx(88 / 9600 + WAIT_S)
    assert without_parity(9600) == N_9600


def test_a_planned_address_is_the_likelier_suspect() -> None:
    suspects = sorted(
        (Probe(N_9600, address, HOLDING) for address in (150, 200)),
        key=lambda one: -likeliness(one, usual_settings(), frozenset({200}), NOWHERE),
    )

    assert [one.server_address for one in suspects] == [200, 150]


def test_a_request_that_reaches_two_settings_is_the_likelier_suspect() -> None:
    ordinary, one_parity = Probe(N_9600, 1, COILS), Probe.of_one_parity(N_9600, 1)

    weights = [likeliness(one, usual_settings(), frozenset(), NOWHERE) for one in (ordinary, one_parity)]

    assert weights[1] > weights[0]

"""One question of a search, and the order of questions: what is gained per second decides, not the cell of a grid."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from enum import IntEnum

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.request import Request
from buswalk.domain.search.prior import FOUND_SETTING_SHARE, address_weight

REQUEST_BYTES = 8
SHARE_SILENT_ON_03 = 0.03
SHARE_SILENT_ON_04 = 0.15
"""Shares of devices that say nothing to a function they do not know (judgement, no source)."""


class ProbeFunction(IntEnum):
    """The harmless reads that a search asks with."""

    HOLDING_REGISTERS = 0x03
    INPUT_REGISTERS = 0x04


@dataclass(frozen=True, slots=True)
class Probe:
    """One request at one setting."""

    settings: SerialSettings
    server_address: int
    function: ProbeFunction

    def request(self) -> Request:
        """Return the request: one register at 0; a refusal proves presence as well."""
        if self.function is ProbeFunction.HOLDING_REGISTERS:
            return ReadHoldingRegisters(0, 1)
        return ReadInputRegisters(0, 1)


_SHARE_FOUND_FIRST_BY = {
    ProbeFunction.HOLDING_REGISTERS: 1.0 - SHARE_SILENT_ON_03,
    ProbeFunction.INPUT_REGISTERS: SHARE_SILENT_ON_03 * (1.0 - SHARE_SILENT_ON_04),
}


def likeliness(
    probe: Probe,
    settings: Mapping[SerialSettings, float],
    planned: frozenset[int],
    found_at: frozenset[SerialSettings],
) -> float:
    """Return how likely a device is behind a probe, next to others; not a share of anything."""
    likely = FOUND_SETTING_SHARE if probe.settings in found_at else settings.get(probe.settings, 0.0)
    return likely * _SHARE_FOUND_FIRST_BY[probe.function] * address_weight(probe.server_address, planned)


def probe_cost_s(settings: SerialSettings, wait_s: float) -> float:
    """Return how long an unanswered probe takes."""
    return REQUEST_BYTES * settings.character_s + max(inter_frame_delay_s(settings), wait_s)


def ordered_probes(
    addresses: Iterable[int],
    settings: Mapping[SerialSettings, float],
    planned: frozenset[int],
    found_at: frozenset[SerialSettings],
    wait_s: float,
) -> list[Probe]:
    """Return all probes, the one that gains most per second first.

    `settings` carries their weights; a setting at which something was found weighs most.
    """
    gains: list[tuple[float, Probe]] = []
    by_address = {address: address_weight(address, planned) for address in addresses}
    for one, weight in settings.items():
        likely = FOUND_SETTING_SHARE if one in found_at else weight
        for function, of_function in _SHARE_FOUND_FIRST_BY.items():
            per_second = likely * of_function / probe_cost_s(one, wait_s)
            gains.extend((-per_second * by_address[address], Probe(one, address, function)) for address in by_address)
    gains.sort(key=lambda item: item[0])
    return [probe for _, probe in gains]

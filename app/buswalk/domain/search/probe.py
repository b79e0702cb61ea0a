"""One question of a search: at which setting, to whom, what, and which devices it reaches."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Enum, IntEnum

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.modbus.functions.read_coils import ReadCoils
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.request import Request
from buswalk.domain.search.one_parity import is_odd_weight, one_parity_read, parity_served
from buswalk.domain.search.prior import FOUND_SETTING_SHARE, Mistaken, address_weight

REQUEST_BYTES = 8


class ProbeFunction(IntEnum):
    """The harmless reads that a search asks with."""

    COILS = 0x01
    HOLDING_REGISTERS = 0x03
    INPUT_REGISTERS = 0x04


SHARES_SILENT_ON: dict[ProbeFunction, float] = {
    ProbeFunction.COILS: 0.10,
    ProbeFunction.HOLDING_REGISTERS: 0.03,
    ProbeFunction.INPUT_REGISTERS: 0.15,
}
"""Shares of devices that say nothing to a function they do not know (judgement, no source)."""


class Shape(Enum):
    """How a request is laid out."""

    ORDINARY = "ordinary"
    """One coil or register at 0."""
    ONE_PARITY = "one_parity"
    """High start, all bytes of one weight: sent as 8N2 it also reaches servers of one parity."""


class TwoStopBits(Enum):
    """Whether the adapter really sends the second stop bit that it is set to."""

    NOT_KNOWN = "not_known"
    SENT = "sent"
    NOT_SENT = "not_sent"


SHARES_TWO_STOP_BITS: dict[TwoStopBits, float] = {
    TwoStopBits.NOT_KNOWN: 0.8,
    TwoStopBits.SENT: 1.0,
    TwoStopBits.NOT_SENT: 0.0,
}
"""How much a one-parity request counts for its parity half (judgement, no source)."""


@dataclass(frozen=True, slots=True)
class Probe:
    """One request at one setting."""

    settings: SerialSettings
    server_address: int
    function: ProbeFunction
    shape: Shape = Shape.ORDINARY

    @classmethod
    def of_one_parity(cls, settings: SerialSettings, server_address: int) -> Probe:
        """Return the one-parity request of an address; its function is that of its weight."""
        is_odd = is_odd_weight(server_address)
        function = ProbeFunction.COILS if is_odd else ProbeFunction.HOLDING_REGISTERS
        return cls(settings, server_address, function, Shape.ONE_PARITY)

    def request(self) -> Request:
        """Return the request: a refusal proves presence as well."""
        if self.shape is Shape.ONE_PARITY:
            return one_parity_read(self.server_address)
        match self.function:
            case ProbeFunction.COILS:
                return ReadCoils(0, 1)
            case ProbeFunction.HOLDING_REGISTERS:
                return ReadHoldingRegisters(0, 1)
            case ProbeFunction.INPUT_REGISTERS:
                return ReadInputRegisters(0, 1)

    def ordinary(self, settings: SerialSettings) -> Probe:
        """Return the same function at another setting, of both byte weights: only its own framing understands it."""
        return Probe(settings, self.server_address, self.function)

    def reaches(self) -> tuple[SerialSettings, ...]:
        """Return in which settings a device would understand it, that without parity first."""
        if self.shape is Shape.ORDINARY:
            return (self.settings,)
        return self.settings, SerialSettings(self.settings.baud_rate, parity_served(self.server_address), 1)


def is_search_request(server_address: int, request: Request) -> bool:
    """Tell whether a search asks this while it looks for devices, and not only to look closer."""
    ordinary = (ReadHoldingRegisters(0, 1), ReadInputRegisters(0, 1))
    return request in ordinary or request == one_parity_read(server_address)


def likeliness(
    probe: Probe,
    settings: Mapping[SerialSettings, float],
    planned: frozenset[int],
    found_at: frozenset[SerialSettings],
    mistaken: Mistaken = (),
) -> float:
    """Return how likely a device is behind a probe, next to others; not a share of anything."""
    weights = [
        (FOUND_SETTING_SHARE if one in found_at else settings.get(one, 0.0))
        * (1.0 if one.parity is probe.settings.parity else SHARES_TWO_STOP_BITS[TwoStopBits.NOT_KNOWN])
        for one in probe.reaches()
    ]
    return (
        sum(weights) * _SHARE_FOUND_FIRST_BY[probe.function] * address_weight(probe.server_address, planned, mistaken)
    )


_SHARE_FOUND_FIRST_BY = {
    ProbeFunction.COILS: 1.0 - SHARES_SILENT_ON[ProbeFunction.COILS],
    ProbeFunction.HOLDING_REGISTERS: 1.0 - SHARES_SILENT_ON[ProbeFunction.HOLDING_REGISTERS],
    ProbeFunction.INPUT_REGISTERS: SHARES_SILENT_ON[ProbeFunction.HOLDING_REGISTERS]
    * (1.0 - SHARES_SILENT_ON[ProbeFunction.INPUT_REGISTERS]),
}


def probe_cost_s(settings: SerialSettings, wait_s: float) -> float:
    """Return how long an unanswered probe takes."""
    return REQUEST_BYTES * settings.character_s + max(inter_frame_delay_s(settings), wait_s)


def without_parity(baud_rate: int) -> SerialSettings:
    """Return how a speed is asked without parity, and with a one-parity request."""
    return SerialSettings(baud_rate, Parity.NONE, 2)

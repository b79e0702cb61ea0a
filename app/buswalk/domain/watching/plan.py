"""What a line watch asks: each device one harmless read that it is known to answer."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.request import Effect, Request
from buswalk.domain.search.events import Doubt, Found

LEAST_SHARE = 0.01
LONGEST_PERIOD_S = 86_400.0
ABSENT_EVERY_S = 15.0
"""Building controllers ask an offline device again every 2 to 30 s, 15 s mostly (common practice, no source)."""
PAUSE_WHERE_NEEDED_S = 0.6
"""The pause at which a search saw those devices answer that need one."""
INPUT_REGISTERS = 0x04


@dataclass(frozen=True, slots=True)
class WatchedDevice:
    """One device, and what it is asked.

    Attributes:
        request: A read; a refusal of it is an answer too.
        wait_s: From the end of the request to the first byte of the reply.
        minimum_gap_s: Least silence before the request, beside t3.5.

    Raises:
        ValueError: No server's address, or a request that does more than read.
    """

    server_address: int
    settings: SerialSettings
    request: Request
    wait_s: float = 0.5
    minimum_gap_s: float = 0.0

    def __post_init__(self) -> None:
        if self.server_address not in SERVER_ADDRESSES:
            raise ValueError(f"address {self.server_address} is no server's: servers have 1 to 247")
        if self.request.effect is not Effect.READS:
            raise ValueError("a watch only reads: what writes or disturbs is never asked again and again")
        if self.wait_s <= 0.0 or self.minimum_gap_s < 0.0:
            raise ValueError("a wait is above zero, and a gap not below it")


def watched(found: Found) -> WatchedDevice:
    """Return a device that a search found, to be asked what it answered there: one register at 0."""
    read = ReadInputRegisters if found.function == INPUT_REGISTERS else ReadHoldingRegisters
    gap_s = PAUSE_WHERE_NEEDED_S if Doubt.NEEDS_A_PAUSE in found.doubts else 0.0
    return WatchedDevice(found.server_address, found.settings, read(0, 1), minimum_gap_s=gap_s)


@dataclass(frozen=True, slots=True)
class WatchPlan:
    """Whom to watch, and how much of the line that may take.

    Attributes:
        period_s: No device is asked more often than this; 0 for as often as the share allows.
        share: Of the line's time that exchanges may take, waits included; the rest stays silent.
        absent_every_s: How often a device that does not answer is asked.
        listen_s: Before the first request: another client must be known before it is disturbed.
        may_ask_living_line: The user has said that another client may be disturbed.

    Raises:
        ValueError: Nobody to watch, one device twice, or a share or period that cannot be.
    """

    devices: tuple[WatchedDevice, ...]
    period_s: float = 0.0
    share: float = 1.0
    absent_every_s: float = ABSENT_EVERY_S
    listen_s: float = 10.0
    may_ask_living_line: bool = False

    def __post_init__(self) -> None:
        if not self.devices:
            raise ValueError("a watch needs at least one device")
        if len({(one.server_address, one.settings) for one in self.devices}) < len(self.devices):
            raise ValueError("a device is watched once at each of its settings")
        if not LEAST_SHARE <= self.share <= 1.0:
            raise ValueError(f"a share of the line lies between {LEAST_SHARE:g} and 1, not at {self.share:g}")
        if not 0.0 <= self.period_s <= LONGEST_PERIOD_S or self.absent_every_s <= 0.0 or self.listen_s < 0.0:
            raise ValueError("a period lies between none and a day, and no time is below zero")

"""What a ping asks and says: one device, again and again."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.modbus.outcome import Outcome

MOST_A_SECOND = 10.0
LEAST_A_SECOND = 0.2
READS = (0x03, 0x04)


@dataclass(frozen=True, slots=True)
class PingPlan:
    """Whom to ask, with what, how often.

    Attributes:
        function: 0x03 or 0x04: one register is read, nothing is changed.
        a_second: So many requests each second of line time; a wait longer than that slows it down.
        wait_s: For the first byte of a reply, from the end of the request.
    """

    server_address: int
    settings: SerialSettings
    function: int = 0x03
    register_address: int = 0
    a_second: float = 5.0
    wait_s: float = 0.150

    def __post_init__(self) -> None:
        if self.server_address not in SERVER_ADDRESSES:
            raise ValueError(f"address {self.server_address} is no server's: servers have 1 to 247")
        if self.function not in READS:
            raise ValueError("a ping reads one register with function 03 or 04")
        if not LEAST_A_SECOND <= self.a_second <= MOST_A_SECOND:
            raise ValueError(f"{self.a_second:g} a second cannot be: {LEAST_A_SECOND:g} to {MOST_A_SECOND:g} can")


@dataclass(frozen=True, slots=True)
class Pinged:
    """One more time asked.

    Attributes:
        asked, answered: So far in this job; a refusal is an answer.
    """

    server_address: int
    exchange_number: int
    outcome: Outcome
    asked: int
    answered: int

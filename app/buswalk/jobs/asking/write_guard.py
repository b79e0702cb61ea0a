"""Keeps back every request that could change or disturb the plant, unless it is handed the right consent.

A write can start a fan, open a valve, wear a memory out. Before any write: who is at the plant, what moves when this
changes, what starts by itself. Local rules and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, SERVER_ADDRESSES
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.request import Effect, Request

ECHO_TEST_ADDRESS = 255
"""Reserved (Serial Line V1.02, 2.2): no server may answer, so what comes back is our own echo."""
ECHO_TEST_REQUEST = ReadHoldingRegisters(register_address=0, quantity=1)


class GuardRefusal(Exception):
    """A request that the guard keeps back.

    Attributes:
        sentence: What was kept back, and what it would take.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class WriteConsent:
    """Leave to write. Made in one place only: where the line is opened and is a simulated one."""

    reason: str


@dataclass(frozen=True, slots=True)
class DisturbConsent:
    """A second leave, for what silences or restarts servers, wipes their counters, or goes to all at once."""

    reason: str


@dataclass(frozen=True, slots=True)
class Consents:
    """What leave there is; by default none."""

    write: WriteConsent | None = None
    disturb: DisturbConsent | None = None


NO_CONSENT = Consents()


def require_leave(server_address: int, request: Request, consents: Consents) -> None:
    """Let a request pass or keep it back.

    Raises:
        GuardRefusal: It would write or disturb and there is no leave for it, or the address is no
            server's.
    """
    if server_address == ECHO_TEST_ADDRESS and request == ECHO_TEST_REQUEST:
        return
    if server_address not in SERVER_ADDRESSES and server_address != BROADCAST_ADDRESS:
        raise GuardRefusal(f"address {server_address} is no server's: servers have 1 to 247")
    is_broadcast = server_address == BROADCAST_ADDRESS
    if request.effect in (Effect.READS, Effect.DIAGNOSES) and not is_broadcast:
        return
    if is_broadcast and request.effect in (Effect.READS, Effect.DIAGNOSES):
        raise GuardRefusal("address 0 is for writes to all devices: nobody may answer a read sent there")
    if consents.write is None:
        raise GuardRefusal(
            f"function {request.function_code:02X} changes or disturbs a device: this program only reads on a real line"
        )
    if (is_broadcast or request.effect is Effect.DISTURBS) and consents.disturb is None:
        raise GuardRefusal(
            "this goes to all devices at once, silences a device or wipes its counters: it needs a second confirmation"
        )

"""Keeps back every request that could change or disturb the plant, unless it is handed the right consent.

A write can start a fan, open a valve, wear a memory out. Before any write: who is at the plant, what moves when this
changes, what starts by itself. Local rules and licensed practice come first.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, SERVER_ADDRESSES
from buswalk.domain.modbus.effects import effect_of
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.request import Effect, Request

ECHO_TEST_ADDRESS = 255
"""Reserved (Serial Line V1.02, 2.2): no server may answer, so what comes back is our own echo."""
ECHO_TEST_REQUEST = ReadHoldingRegisters(register_address=0, quantity=1)
LEAST_REASON_SIGNS = 3
"""Letters and digits: less is no reason but a key pressed to get on (judgement, no source)."""


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
    """Leave to write. Made in one place only: `consent_to`."""

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


def consent_to(reason: str) -> WriteConsent:
    """Return leave to write, for a reason in words. The one place of the program that makes a `WriteConsent`.

    Raises:
        GuardRefusal: The reason says nothing.
    """
    if sum(one.isalnum() for one in reason) < LEAST_REASON_SIGNS:
        raise GuardRefusal("a write needs a reason: say in a few words why, for it is kept in the record")
    return WriteConsent(reason.strip())


def consents_on(traits: LineTraits) -> Consents:
    """Return what leave an open line gives single requests by itself: a simulated one moves nothing."""
    return Consents(write=consent_to("a simulated line moves nothing")) if traits.is_simulated else NO_CONSENT


def confirmed_twice(consents: Consents, reason: str) -> Consents:
    """Return leave to disturb as well; only who may write can give it."""
    if consents.write is None:
        return consents
    return replace(consents, disturb=DisturbConsent(reason))


def require_leave(server_address: int, request: Request, consents: Consents) -> None:
    """Let a request pass or keep it back; its bytes decide, not what it says of itself.

    Raises:
        GuardRefusal: It would write or disturb and there is no leave for it, or the address is no
            server's.
    """
    pdu = request.pdu()
    if server_address == ECHO_TEST_ADDRESS and pdu == ECHO_TEST_REQUEST.pdu():
        return
    if server_address not in SERVER_ADDRESSES and server_address != BROADCAST_ADDRESS:
        raise GuardRefusal(f"address {server_address} is no server's: servers have 1 to 247")
    effect = effect_of(pdu)
    is_broadcast = server_address == BROADCAST_ADDRESS
    is_harmless = effect in (Effect.READS, Effect.DIAGNOSES)
    if is_harmless and not is_broadcast:
        return
    if is_harmless:
        raise GuardRefusal("address 0 is for writes to all devices: nobody may answer a read sent there")
    if consents.write is None:
        raise GuardRefusal(
            f"function {pdu[0]:02X} changes or disturbs a device: on a real line single requests only read; "
            "values are written one at a time, unlocked (on the command line: write)"
        )
    _require_second_leave(server_address, effect, consents)


def require_leave_for_frame(frame: bytes, consents: Consents) -> None:
    """Let bytes of one's own pass or keep them back: whatever they are, they need leave.

    Raises:
        GuardRefusal: There is none, or they go to all devices or disturb one and there is no second leave.
    """
    if consents.write is None:
        raise GuardRefusal("bytes of one's own can do anything to a device: they are sent unlocked only, for a reason")
    _require_second_leave(frame[0], effect_of(frame[1:-2]), consents)


def _require_second_leave(server_address: int, effect: Effect, consents: Consents) -> None:
    if (server_address == BROADCAST_ADDRESS or effect is Effect.DISTURBS) and consents.disturb is None:
        raise GuardRefusal(
            "this goes to all devices at once, silences a device or wipes its counters: it needs a second confirmation "
            "(on the command line: --disturb)"
        )

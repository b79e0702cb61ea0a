"""Makes exchanges as the bus process tells them, for presenters: who was asked, when, what came of it."""

from __future__ import annotations

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.exchange import Exchange, NeverSent, NoTurnaround, Turnaround
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.observation import Observation
from buswalk.domain.modbus.outcome import ExceptionReply, NoReply, NormalReply, NotSent, Outcome

USUAL = SerialSettings.of(9600, "8N1")
WIRE_S = 0.008
"""What eight bytes take at 9600 baud, about."""


class ExchangeMaker:
    """Counts exchanges and lets line time go on from one to the next."""

    def __init__(self, now_s: float = 0.0, settings: SerialSettings = USUAL) -> None:
        self.now_s = now_s
        self.settings = settings
        self._number = 0

    def made(
        self,
        server_address: int,
        outcome: Outcome,
        turnaround_s: float = 0.0,
        observations: tuple[Observation, ...] = (),
        pause_s: float = 0.01,
    ) -> Exchange:
        """Return the next exchange; a turnaround of 0 is not known."""
        self._number += 1
        began_s = self.now_s + pause_s
        request = ReadHoldingRegisters(0, 1)
        request_adu = build_adu(server_address, request.pdu())
        end_s = began_s + WIRE_S
        waited_s = outcome.waited_s if isinstance(outcome, NoReply) else turnaround_s + WIRE_S
        self.now_s = end_s + waited_s
        received = outcome.adu if isinstance(outcome, NormalReply | ExceptionReply) else b""
        arrivals = (Arrival(received, (), self.now_s - 0.001, self.now_s),) if received else ()
        known = Turnaround(turnaround_s - 0.002, turnaround_s) if turnaround_s else NoTurnaround()
        is_sent = not isinstance(outcome, NotSent)
        return Exchange(
            number=self._number,
            server_address=server_address,
            request=request,
            request_adu=request_adu,
            settings=self.settings,
            sent=Sent(began_s, end_s, end_s) if is_sent else NeverSent(began_s),
            arrivals=arrivals,
            ended_s=self.now_s,
            outcome=outcome,
            observations=observations,
            turnaround=known,
        )

    def answered(self, server_address: int, turnaround_s: float = 0.014, *beside: Observation) -> Exchange:
        """Return one that read register 0 and got 1234."""
        request = ReadHoldingRegisters(0, 1)
        pdu = bytes([0x03, 0x02, 0x04, 0xD2])
        return self.made(
            server_address,
            NormalReply(build_adu(server_address, pdu), request.parse_reply(pdu)),
            turnaround_s,
            beside,
        )

    def refused(self, server_address: int, exception_code: int = 2) -> Exchange:
        """Return one that was refused."""
        adu = build_adu(server_address, bytes([0x83, exception_code]))
        return self.made(server_address, ExceptionReply(adu, exception_code), 0.012)

    def silent(self, server_address: int, waited_s: float = 0.3) -> Exchange:
        """Return one that nobody answered."""
        return self.made(server_address, NoReply(waited_s))

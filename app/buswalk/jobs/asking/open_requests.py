"""Requests whose reply may still come: late replies are credited to them, or said to be doubtful."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line_events import Credit, LateReply
from buswalk.domain.modbus.adu import EXCEPTION_ADU_BYTES, EXCEPTION_BIT
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.request import Request, WrongReply

KEPT_FOR_S = 5.0
"""The standard calls one to several seconds a usual time-out (Serial Line V1.02, 2.4.1): no reply comes later."""
MOST_KEPT = 256


@dataclass(frozen=True, slots=True)
class OpenRequest:
    """A request that was not answered in time."""

    number: int
    server_address: int
    request: Request
    sent_s: float


class OpenRequests:
    """Remembers them for some seconds, oldest first."""

    def __init__(self) -> None:
        self._open: list[OpenRequest] = []

    def add(self, exchange: Exchange, sent_s: float) -> None:
        """Remember a request that got no whole reply."""
        self._open.append(OpenRequest(exchange.number, exchange.server_address, exchange.request, sent_s))
        del self._open[:-MOST_KEPT]

    def forget_before(self, time_s: float) -> None:
        """Drop what is too old to be answered."""
        self._open = [one for one in self._open if one.sent_s >= time_s - KEPT_FOR_S]

    def forget_settings(self) -> None:
        """Replies in other settings cannot be read any more."""
        self._open.clear()

    def that_fit(self, adu: bytes) -> tuple[OpenRequest, ...]:
        """Return the open requests that a frame could answer, oldest first."""
        return tuple(one for one in self._open if _fits(one, adu))

    def credit(self, adu: bytes, at_s: float) -> LateReply | None:
        """Return what a whole frame answers late, or None; the request it is credited to is closed."""
        fitting = self.that_fit(adu)
        if not fitting:
            return None
        first = fitting[0]
        self._open.remove(first)
        credit = Credit.CREDITED if len(fitting) == 1 else Credit.DOUBTFUL
        return LateReply(first.server_address, tuple(one.number for one in fitting), adu, at_s, credit)


def _fits(one: OpenRequest, adu: bytes) -> bool:
    if adu[0] != one.server_address:
        return False
    if adu[1] == one.request.function_code | EXCEPTION_BIT:
        return len(adu) == EXCEPTION_ADU_BYTES
    try:
        one.request.parse_reply(adu[1:-2])
    except WrongReply:
        return False
    return True

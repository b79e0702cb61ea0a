"""The longest turnaround seen of each device in this visit, by whatever job: what a watch's wait follows."""

from __future__ import annotations

from collections import OrderedDict

from buswalk.domain.line_events import Credit, ExchangeDone, LateReply
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.watching.plan import Place

MOST_WAITING = 64
"""Exchanges without an answer that a late reply may still belong to: none can after some seconds."""


class SeenTurnarounds:
    """Takes events; `longest_s` is what came of them."""

    def __init__(self) -> None:
        self._longest_s: dict[Place, float] = {}
        self._lost: OrderedDict[int, Exchange] = OrderedDict()

    def forget(self) -> None:
        """Another line, perhaps."""
        self._longest_s.clear()
        self._lost.clear()

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case ExchangeDone(exchange) if isinstance(exchange.outcome, NormalReply | ExceptionReply):
                if isinstance(exchange.turnaround, Turnaround):
                    self._see(exchange, exchange.turnaround.not_more_than_s)
            case ExchangeDone(exchange):
                self._lost[exchange.number] = exchange
                if len(self._lost) > MOST_WAITING:
                    self._lost.popitem(last=False)
            case LateReply(exchange_numbers=numbers, at_s=at_s, credit=Credit.CREDITED):
                if numbers[0] in self._lost:
                    lost = self._lost.pop(numbers[0])
                    self._see(lost, at_s - sent_at_s(lost))
            case _:
                pass

    def longest_s(self, place: Place) -> float:
        """Return the longest turnaround seen there; 0 where none was."""
        return self._longest_s.get(place, 0.0)

    def _see(self, exchange: Exchange, turnaround_s: float) -> None:
        place = exchange.server_address, exchange.settings
        self._longest_s[place] = max(self.longest_s(place), turnaround_s)

"""How often each address was asked and answered in the last minute of line time. Plain Python."""

from __future__ import annotations

from collections import deque

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.ui.wording import plural

SPAN_S = 60.0
MOST_REMEMBERED = 600


class AnswerHistory:
    """Remembers asked and answered of each address."""

    def __init__(self) -> None:
        self._asked: dict[int, deque[tuple[float, bool]]] = {}

    def take(self, exchange: Exchange) -> None:
        """Take one exchange; a refusal is an answer."""
        of_address = self._asked.setdefault(exchange.server_address, deque(maxlen=MOST_REMEMBERED))
        of_address.append((exchange.ended_s, isinstance(exchange.outcome, NormalReply | ExceptionReply)))

    def words(self, server_address: int, now_s: float) -> str:
        """Return 'asked 6 times in 60 s, 0 answers'."""
        seen = [has_answered for at_s, has_answered in self._asked.get(server_address, ()) if at_s > now_s - SPAN_S]
        if len(seen) < 2:
            return "asked once"
        return f"asked {len(seen)} times in {SPAN_S:.0f} s, {plural(sum(seen), 'answer')}"

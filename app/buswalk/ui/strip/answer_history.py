"""How often each address was asked and answered in the last minute of line time. Plain Python."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.ui.wording import plural

SPAN_S = 60.0
LONG_FROM = 100
MOST_REMEMBERED = 600


@dataclass(frozen=True, slots=True)
class AskedAnswered:
    """How often one address was asked and answered in the last minute."""

    asked: int
    answered: int

    @property
    def words(self) -> str:
        """Asked 6 times in 60 s, 0 answers."""
        if self.asked < 2:
            return "asked once"
        if self.asked >= LONG_FROM:
            return f"{self.answered} of {self.asked} answered in {SPAN_S:.0f} s"
        return f"asked {self.asked} times in {SPAN_S:.0f} s, {plural(self.answered, 'answer')}"

    @property
    def short_words(self) -> str:
        """0 of 6 came."""
        return f"{self.answered} of {self.asked}"


class AnswerHistory:
    """Remembers asked and answered of each address."""

    def __init__(self) -> None:
        self._asked: dict[int, deque[tuple[float, bool]]] = {}

    def take(self, exchange: Exchange) -> None:
        """Take one exchange; a refusal is an answer."""
        of_address = self._asked.setdefault(exchange.server_address, deque(maxlen=MOST_REMEMBERED))
        of_address.append((exchange.ended_s, isinstance(exchange.outcome, NormalReply | ExceptionReply)))

    def of(self, server_address: int, now_s: float) -> AskedAnswered:
        """Return the figures of one address."""
        seen = [has_answered for at_s, has_answered in self._asked.get(server_address, ()) if at_s > now_s - SPAN_S]
        return AskedAnswered(len(seen), sum(seen))

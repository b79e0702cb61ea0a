"""The last exchanges of each address, so that details open at once; older ones are read from the record. No Qt."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ForeignReply

KEPT_EACH = 200
"""Exchanges of one address; a search asks an address that is silent some 30 times."""
OLDER_AT_ONCE = 200


@dataclass(frozen=True, slots=True)
class OlderWanted:
    """The `at_most` exchanges of one server that come right before `before_number`."""

    server_address: int
    before_number: int
    at_most: int = OLDER_AT_ONCE


@dataclass(frozen=True, slots=True)
class OlderRead:
    """What the record holds of that, oldest first; `problem` is a sentence where it cannot be read."""

    exchanges: tuple[Exchange, ...]
    problem: str = ""


OlderExchanges = Callable[[OlderWanted, Callable[[OlderRead], None]], None]
"""Reads the record and hands the result over, at once or later, in the window's thread."""


@dataclass(frozen=True, slots=True)
class Shelved:
    """Exchanges of one address, oldest first; `is_whole` while none was put away."""

    exchanges: tuple[Exchange, ...]
    is_whole: bool


class ExchangeShelf:
    """Takes every exchange, keeps the last ones of each address: those that asked it, and those that it answered."""

    def __init__(self, kept_each: int = KEPT_EACH) -> None:
        self._kept_each = kept_each
        self._by_address: dict[int, deque[Exchange]] = {}
        self._counted: dict[int, int] = {}

    def take(self, exchange: Exchange) -> None:
        """Keep one."""
        addresses = {exchange.server_address}
        if isinstance(exchange.outcome, ForeignReply):
            addresses.add(exchange.outcome.server_address)
        for address in addresses:
            self._by_address.setdefault(address, deque(maxlen=self._kept_each)).append(exchange)
            self._counted[address] = self._counted.get(address, 0) + 1

    def of(self, server_address: int) -> Shelved:
        """Return what is here of one address."""
        kept = tuple(self._by_address.get(server_address, ()))
        return Shelved(kept, len(kept) == self._counted.get(server_address, 0))

    def count(self, server_address: int) -> int:
        """Return how many there were of one address."""
        return self._counted.get(server_address, 0)

    def clear(self) -> None:
        """Forget all: another session began."""
        self._by_address.clear()
        self._counted.clear()

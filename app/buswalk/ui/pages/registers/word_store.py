"""Every register that any reply told, with its time: what a look at a display is compared with. Plain Python."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead
from buswalk.domain.modbus.functions.read_input_registers import InputRegistersRead
from buswalk.domain.modbus.observation import MaybeOld
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_finder.finding import TableWords
from buswalk.domain.visit.session_events import SessionStarted


class WordStore:
    """Follows the stream; a reply that may be an old one tells nothing."""

    def __init__(self) -> None:
        self._words: dict[tuple[int, Table, int], tuple[int, float]] = {}

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case SessionStarted():
                self._words.clear()
            case ExchangeDone(exchange) if not any(isinstance(one, MaybeOld) for one in exchange.observations):
                self._exchange(exchange)
            case _:
                pass

    def word_at(self, server_address: int, table: Table, register_address: int) -> tuple[int, ...]:
        """Return the word that was last read there; empty for none."""
        known = self._words.get((server_address, table, register_address))
        return () if known is None else known[:1]

    def read_since(self, server_address: int, at_s: float) -> tuple[TableWords, ...]:
        """Return what was read of a device since then, neighbours together."""
        return tuple(self._runs(server_address, at_s))

    def _runs(self, server_address: int, at_s: float) -> Iterator[TableWords]:
        keys = [key for key, (_, read_s) in self._words.items() if key[0] == server_address and read_s >= at_s]
        for table in (Table.INPUT_REGISTERS, Table.HOLDING_REGISTERS):
            places = sorted(key[2] for key in keys if key[1] is table)
            begin = 0
            for i in range(1, len(places) + 1):
                if i == len(places) or places[i] != places[i - 1] + 1:
                    run = places[begin:i]
                    words = tuple(self._words[server_address, table, one][0] for one in run)
                    yield TableWords(table, run[0], words)
                    begin = i

    def _exchange(self, exchange: Exchange) -> None:
        match exchange.outcome:
            case NormalReply(reply=HoldingRegistersRead(register_address=first, values=values)):
                table = Table.HOLDING_REGISTERS
            case NormalReply(reply=InputRegistersRead(register_address=first, values=values)):
                table = Table.INPUT_REGISTERS
            case _:
                return
        for i, word in enumerate(values):
            self._words[exchange.server_address, table, first + i] = (word, exchange.ended_s)

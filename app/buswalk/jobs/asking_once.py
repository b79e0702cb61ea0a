"""Asks one request, perhaps again where no right answer came, and yields each exchange."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import BroadcastSent, ExceptionReply, NormalReply
from buswalk.domain.modbus.request import Request
from buswalk.jobs.asking.asker import Asker, AskTiming


def ask_with_retries(
    asker: Asker, server_address: int, request: Request, timing: AskTiming, retries: int
) -> Iterator[Exchange]:
    """Yield the exchange, and one for each retry that was needed; at most `retries` of them."""
    for _ in range(retries + 1):
        exchange = asker.ask(server_address, request, timing)
        yield exchange
        if isinstance(exchange.outcome, NormalReply | ExceptionReply | BroadcastSent):
            return

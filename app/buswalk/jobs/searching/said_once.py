"""What a search says of the line once: that the adapter hears itself, that the line chatters."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import EchoHeard
from buswalk.domain.modbus.outcome import EchoOnly
from buswalk.domain.search.energy import ChatterJudge
from buswalk.domain.search.events import AdapterHearsItself, LineChatters


class SaidOnce:
    """Keeps what was said already."""

    def __init__(self) -> None:
        self._has_said_echo = False
        self._has_said_chatter = False

    def of_echo(self, exchange: Exchange) -> Iterator[AdapterHearsItself]:
        """Say it with the first request that came back."""
        is_echo = isinstance(exchange.outcome, EchoOnly) or any(
            isinstance(one, EchoHeard) for one in exchange.observations
        )
        if is_echo and not self._has_said_echo:
            self._has_said_echo = True
            yield AdapterHearsItself(exchange.settings)

    def of_chatter(self, chatter: ChatterJudge, settings: SerialSettings) -> Iterator[LineChatters]:
        """Say it as soon as it has gone on for long enough; once more only after the line was quiet."""
        if not chatter.requests:
            self._has_said_chatter = False
        if chatter.is_chattering and not self._has_said_chatter:
            self._has_said_chatter = True
            yield LineChatters(settings, chatter.seconds, chatter.requests)

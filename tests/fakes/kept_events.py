"""A sink that keeps what it is told."""

from __future__ import annotations

from typing import TypeVar

from buswalk.domain.line_events import ExchangeDone, LineEvent, StrayArrival

T = TypeVar("T")


class KeptEvents:
    """Keeps line events in order."""

    def __init__(self) -> None:
        self.events: list[LineEvent] = []

    def __call__(self, event: LineEvent) -> None:
        """Keep it."""
        self.events.append(event)

    def of(self, kind: type[T]) -> list[T]:
        """Return the events of one kind, in order."""
        return [one for one in self.events if isinstance(one, kind)]

    @property
    def evidence(self) -> bytes:
        """Every byte told of, in exchanges and strays, in the order of telling."""
        parts: list[bytes] = []
        for event in self.events:
            match event:
                case ExchangeDone(exchange):
                    parts.append(exchange.received)
                case StrayArrival(arrival):
                    parts.append(arrival.data)
                case _:
                    pass
        return b"".join(parts)

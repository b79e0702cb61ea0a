"""The way to the bus process as a list: what was sent, in order, and how often the job was to stop."""

from __future__ import annotations

from typing import TypeVar

from buswalk.bus.messages import Command

Kind = TypeVar("Kind")


class SentCommands:
    """Numbers commands from 1, as the link does."""

    def __init__(self) -> None:
        self.sent: list[Command] = []
        self.stops = 0

    def send(self, command: Command) -> int:
        """Note it."""
        self.sent.append(command)
        return len(self.sent)

    def stop(self) -> None:
        """Count it."""
        self.stops += 1

    def of(self, kind: type[Kind]) -> list[Kind]:
        """Return those of a kind."""
        return [one for one in self.sent if isinstance(one, kind)]

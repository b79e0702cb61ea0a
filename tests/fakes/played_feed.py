"""A feed that plays batches and remembers commands: the window runs on it without any process."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.messages import Batch, Command, Kept, StreamItem
from buswalk.ui.live.feed import BatchReceiver, ProcessSaid


class RememberedCommands:
    """Commands that go nowhere."""

    def __init__(self) -> None:
        self.sent: list[Command] = []
        self.stops = 0

    def send(self, command: Command) -> int:
        """Remember a command."""
        self.sent.append(command)
        return len(self.sent)

    def stop(self) -> None:
        """Count it."""
        self.stops += 1


class PlayedFeed:
    """Delivers at once what it is told to play."""

    def __init__(self) -> None:
        self.commands = RememberedCommands()
        self.is_open = False
        self._receivers: list[BatchReceiver] = []
        self._news: list[Callable[[ProcessSaid], None]] = []

    def connect_batches(self, receive: BatchReceiver) -> None:
        """Deliver batches to `receive`."""
        self._receivers.append(receive)

    def connect_process_news(self, receive: Callable[[ProcessSaid], None]) -> None:
        """Deliver news of processes to `receive`."""
        self._news.append(receive)

    def start(self) -> None:
        """Nothing waits here."""
        self.is_open = True

    def close(self) -> None:
        """Nothing waits here."""
        self.is_open = False

    def play(self, *items: StreamItem, line_time_s: float = 0.0, factor: float = 1.0) -> None:
        """Deliver one batch."""
        batch = Batch(line_time_s, factor, is_walking=factor != 1.0, items=items)
        for receive in self._receivers:
            receive(batch)

    def play_events(self, *events: object, line_time_s: float = 0.0, factor: float = 1.0) -> None:
        """Deliver events that are in the record."""
        kept = tuple(Kept(row, event, line_time_s) for row, event in enumerate(events, start=1))
        self.play(*kept, line_time_s=line_time_s, factor=factor)

    def say(self, said: ProcessSaid) -> None:
        """Deliver news of a process."""
        for receive in self._news:
            receive(said)

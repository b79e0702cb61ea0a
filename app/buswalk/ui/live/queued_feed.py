"""The Qt side of a feed: another thread offers batches, a timer delivers them in the window's thread."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable

from PySide6.QtCore import QObject, QTimer, Signal

from buswalk.ui.live.feed import BatchQueue, BatchReceiver, Commands, ProcessSaid

DELIVERIES_A_SECOND = 10


class QueuedFeed(QObject):
    """Delivers what another thread offers, ten times a second, in the thread it lives in."""

    batch_came = Signal(object)
    process_said = Signal(object)

    def __init__(self, commands: Commands, queue: BatchQueue) -> None:
        super().__init__()
        self._commands = commands
        self._queue = queue
        self._news: deque[ProcessSaid] = deque()
        self._timer = QTimer(self)
        self._timer.setInterval(1000 // DELIVERIES_A_SECOND)
        self._timer.timeout.connect(self.deliver)

    @property
    def commands(self) -> Commands:
        """The way to the bus process."""
        return self._commands

    def connect_batches(self, receive: BatchReceiver) -> None:
        """Have every batch delivered to `receive`."""
        self.batch_came.connect(receive)

    def connect_process_news(self, receive: Callable[[ProcessSaid], None]) -> None:
        """Have news of processes delivered to `receive`, whatever thread they are told from."""
        self.process_said.connect(receive)

    def say(self, said: ProcessSaid) -> None:
        """Tell news of a process; any thread may: it is delivered with the next batches, behind them."""
        self._news.append(said)

    def start(self) -> None:
        """Begin to deliver."""
        self._timer.start()

    def close(self) -> None:
        """Deliver nothing more."""
        self._timer.stop()

    def deliver(self) -> None:
        """Deliver what waits now."""
        for batch in self._queue.drain():
            self.batch_came.emit(batch)
        while self._news:
            self.process_said.emit(self._news.popleft())

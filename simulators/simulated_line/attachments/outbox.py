"""Bytes on their way to a program that may be slow to read. What does not fit is lost, as in a real port's buffer."""

from __future__ import annotations

from collections.abc import Callable

MOST_WAITING_BYTES = 65_536


class Outbox:
    """Keeps order over partial writes; `write` returns how many bytes were taken now, 0 if none."""

    def __init__(self, write: Callable[[bytes], int]) -> None:
        self._write = write
        self._waiting = b""

    def put(self, data: bytes) -> None:
        """Hand over bytes behind those that wait, all or none: half a control sequence would spoil the rest."""
        if len(self._waiting) + len(data) <= MOST_WAITING_BYTES:
            self._waiting += data
        self.push()

    def push(self) -> None:
        """Try again with those that wait."""
        while self._waiting:
            taken = self._write(self._waiting)
            if not taken:
                return
            self._waiting = self._waiting[taken:]

    def clear(self) -> None:
        """Forget those that wait."""
        self._waiting = b""

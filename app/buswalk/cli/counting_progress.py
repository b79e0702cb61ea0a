"""How far a large record has been looked through: one line on a terminal that is written over."""

from __future__ import annotations

from typing import TextIO

from buswalk.cli.output import PROGRESS_COLUMNS, clear_progress

SHOWN_EVERY = 20_000


class Counting:
    """Shows it where a person looks on; a file or a pipe gets nothing."""

    def __init__(self, err: TextIO, total: int) -> None:
        self._err = err
        self._total = total
        self._is_shown = err.isatty()
        self._next = SHOWN_EVERY

    def take(self, number: int) -> None:
        """Take the number of the exchange that was looked at."""
        if not self._is_shown or number < self._next:
            return
        self._next = number + SHOWN_EVERY
        clear_progress(self._err)
        words = f"figures of each exchange: {number} of {self._total} looked at"
        self._err.write(words[:PROGRESS_COLUMNS])
        self._err.flush()

    def end(self) -> None:
        """All was looked at."""
        if self._is_shown:
            clear_progress(self._err)


class NotShown:
    """Nobody waits."""

    def take(self, _number: int) -> None:
        """Pass over it."""

    def end(self) -> None:
        """Nothing is to be cleared."""


NOT_SHOWN = NotShown()

"""A recorder that keeps events in memory, and fails when it is told to."""

from __future__ import annotations

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.visit.recorder import RecordProblem, RecordState
from buswalk.domain.visit.session_events import MarkMade, SessionStarted


class KeptRecord:
    """Rows count from 1; `fails_from` is the first row that cannot be kept."""

    def __init__(self, name: str, started: SessionStarted, fails_from: int = 0) -> None:
        self.name = name
        self.started = started
        self.kept: list[tuple[object, float]] = []
        self.settled = 0
        self.is_closed = False
        self._fails_from = fails_from

    @property
    def state(self) -> RecordState:
        """So many exchanges so far."""
        count = sum(isinstance(event, ExchangeDone) for event, _ in self.kept)
        return RecordState(self.name, f"memory/{self.name}", count, self.started.is_simulated)

    @property
    def next_exchange_number(self) -> int:
        """As in a file that another session began."""
        return 41

    def holds_mark(self, row: int) -> bool:
        """Tell whether a mark was kept as this row."""
        return 1 <= row <= len(self.kept) and isinstance(self.kept[row - 1][0], MarkMade)

    def begin(self, session: SessionStarted) -> None:
        """Nothing to do."""

    def keep(self, event: object, at_s: float) -> int:
        """Keep it."""
        if self._fails_from and len(self.kept) + 1 >= self._fails_from:
            raise RecordProblem("the disk is full: make room, then open the port again")
        self.kept.append((event, at_s))
        return len(self.kept)

    def settle(self) -> None:
        """Count."""
        self.settled += 1

    def close(self) -> None:
        """Remember."""
        self.is_closed = True

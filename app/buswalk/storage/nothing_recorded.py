"""Stands where nothing can be recorded: work goes on, exchanges are numbered, and it says why nothing is kept."""

from __future__ import annotations

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import SessionStarted


class NothingRecorded:
    """A `Recorder` that keeps nothing and never says otherwise: all rows are 0."""

    def __init__(self, problem: str, *, is_simulated: bool, first_number: int = 1) -> None:
        self._problem = problem
        self._is_simulated = is_simulated
        self._next_number = first_number

    @property
    def state(self) -> RecordState:
        """No file, and why."""
        return RecordState("", "", 0, self._is_simulated, self._problem)

    @property
    def next_exchange_number(self) -> int:
        """Numbers go on as if it were a file."""
        return self._next_number

    def holds_mark(self, row: int) -> bool:  # noqa: ARG002 - no row is one
        """No mark is held."""
        return False

    def begin(self, session: SessionStarted) -> None:
        """Nothing begins."""

    def keep(self, event: object, at_s: float) -> int:  # noqa: ARG002 - no time is kept either
        """Return row 0: it is not kept."""
        if isinstance(event, ExchangeDone):
            self._next_number = event.exchange.number + 1
        return 0

    def settle(self) -> None:
        """Nothing to settle."""

    def close(self) -> None:
        """Nothing to give back."""

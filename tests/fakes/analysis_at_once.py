"""An analysis process that answers in the same moment."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.queries import Calculation, Query
from buswalk.domain.record_reader import RecordedEvent


class AnswersAtOnce:
    """Keeps what was asked, and answers with the rows it was given."""

    def __init__(self, rows: tuple[RecordedEvent, ...]) -> None:
        self.asked: list[tuple[str, Query]] = []
        self._rows = rows

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        self.asked.append((path, query))
        take(self._rows)

    def calculate(
        self, calculation: Calculation, take: Callable[[object], None], refused: Callable[[str], None]
    ) -> None:
        take(calculation.result())

"""A line at which something is looked at while time passes, also while nothing comes: reads are cut short elsewhere."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.passing_line import PassingLine
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.protocols import Line


class LookingLine(PassingLine):
    """Passes all on to the line, and looks before each read."""

    def __init__(self, line: Line, look: Callable[[], None]) -> None:
        super().__init__(line)
        self._look = look

    def read(self, until_s: float) -> Arrival | None:
        """Look, then wait."""
        self._look()
        return self._line.read(until_s)

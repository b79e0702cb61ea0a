"""A line at which something is looked at while time passes, also while nothing comes: reads are cut short elsewhere."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings


class LookingLine:
    """Passes all on to the line, and looks before each read."""

    def __init__(self, line: Line, look: Callable[[], None]) -> None:
        self._line = line
        self._look = look

    @property
    def traits(self) -> LineTraits:
        """Those of the line."""
        return self._line.traits

    @property
    def settings(self) -> SerialSettings:
        """Those of the line."""
        return self._line.settings

    def apply(self, settings: SerialSettings) -> None:
        """Change speed and framing."""
        self._line.apply(settings)

    def write(self, data: bytes) -> Sent:
        """Hand over bytes."""
        return self._line.write(data)

    def read(self, until_s: float) -> Arrival | None:
        """Look, then wait."""
        self._look()
        return self._line.read(until_s)

    def discard(self) -> tuple[Arrival, ...]:
        """Take what waits."""
        return self._line.discard()

    def close(self) -> None:
        """Give the port back."""
        self._line.close()

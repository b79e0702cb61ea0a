"""A line that passes all on to another: what does something beside that is built on it."""

from __future__ import annotations

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings


class PassingLine:
    """Passes all on."""

    def __init__(self, line: Line) -> None:
        self._line = line

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
        """Wait for bytes."""
        return self._line.read(until_s)

    def discard(self) -> tuple[Arrival, ...]:
        """Take what waits."""
        return self._line.discard()

    def close(self) -> None:
        """Give the port back."""
        self._line.close()

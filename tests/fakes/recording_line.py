"""Passes everything on to another line, and keeps what was written and handed over, with times."""

from __future__ import annotations

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings


class RecordingLine:
    """Keeps arrivals in the order of handing over, and each write with its settings and computed times."""

    def __init__(self, line: Line) -> None:
        self._line = line
        self.handed_over: list[Arrival] = []
        self.sent: list[tuple[SerialSettings, Sent, int]] = []

    @property
    def traits(self) -> LineTraits:
        """Those of the line."""
        return self._line.traits

    @property
    def settings(self) -> SerialSettings:
        """Those of the line."""
        return self._line.settings

    def apply(self, settings: SerialSettings) -> None:
        """Pass on."""
        self._line.apply(settings)

    def write(self, data: bytes) -> Sent:
        """Pass on, and keep after how many arrivals it was."""
        sent = self._line.write(data)
        self.sent.append((self._line.settings, sent, len(self.handed_over)))
        return sent

    def read(self, until_s: float) -> Arrival | None:
        """Pass on, and keep."""
        arrival = self._line.read(until_s)
        if arrival is not None:
            self.handed_over.append(arrival)
        return arrival

    def discard(self) -> tuple[Arrival, ...]:
        """Pass on, and keep."""
        arrivals = self._line.discard()
        self.handed_over.extend(arrivals)
        return arrivals

    def close(self) -> None:
        """Pass on."""
        self._line.close()

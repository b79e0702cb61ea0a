"""The two protocols against which everything that asks a bus is written."""

from __future__ import annotations

from typing import Protocol

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings


class Clock(Protocol):
    """Line time: seconds since some start, never backwards."""

    def now_s(self) -> float:
        """Return the present line time."""

    def sleep_until(self, time_s: float) -> None:
        """Return when line time has reached `time_s`; at once if it has passed."""


class Line(Protocol):
    """An open line. Every verb raises `PortError` when the means break (port vanished, settings refused)."""

    @property
    def traits(self) -> LineTraits:
        """What this port carries and reports. May change as things are learnt."""

    @property
    def settings(self) -> SerialSettings:
        """The settings last applied."""

    def apply(self, settings: SerialSettings) -> None:
        """Change speed and framing: one reconfiguration, between exchanges only; nothing if nothing changes."""

    def write(self, data: bytes) -> Sent:
        """Hand over bytes to be sent, at least one; return when they will have been, without waiting for it."""

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline: never early, late by a few ms at most.

        A deadline that has passed still looks once, so that waiting bytes are never overlooked.
        """

    def discard(self) -> tuple[Arrival, ...]:
        """Take all that was waiting, without waiting for more. It is evidence, not rubbish."""

    def close(self) -> None:
        """Give the port back. Closing twice does nothing."""

"""Another client on the line: it asks its own questions with its own period."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.reference_codec.check_sum import closed
from simulated_line.station import Burst, Heard, Pair


@dataclass(frozen=True, slots=True)
class Round:
    """Requests (address and PDU) asked one after the other in each period.

    Attributes:
        from_s: When the first round begins; the client is silent before.
    """

    bodies: tuple[bytes, ...]
    period_s: float
    spacing_s: float
    from_s: float = 0.0

    def __post_init__(self) -> None:
        if not self.bodies or self.period_s < self.spacing_s * len(self.bodies):
            raise ValueError("a round has requests, and fits its period")


class ForeignClient:
    """Sends its round again and again; it does not care for us."""

    def __init__(self, pair: Pair, name: str, settings: SerialSettings, asked: Round) -> None:
        self._pair = pair
        self._name = name
        self._settings = settings
        self._asked = asked
        self._next = 0
        self._round_began_s = asked.from_s
        self.is_active = True
        pair.at(pair.now_s() + asked.from_s + asked.spacing_s, self._ask)

    @property
    def name(self) -> str:
        """Unique on the line."""
        return self._name

    @property
    def receiver_settings(self) -> SerialSettings:
        """What it listens with."""
        return self._settings

    @property
    def is_powered(self) -> bool:
        """Switched off it is silent."""
        return self.is_active

    def heard(self, heard: Heard) -> None:
        """It does not look at what comes back here."""

    def _ask(self) -> None:
        self._pair.send(self, Burst(closed(self._asked.bodies[self._next]), self._settings))
        self._next += 1
        if self._next < len(self._asked.bodies):
            self._pair.at(self._pair.now_s() + self._asked.spacing_s, self._ask)
            return
        self._next = 0
        self._round_began_s += self._asked.period_s
        self._pair.at(self._round_began_s + self._asked.spacing_s, self._ask)


class Chatterer:
    """Sends the same bytes with a period: another protocol, text, or rubbish without end.

    A UART cannot send into its own burst: with too short a period the bursts follow each other without a gap.
    """

    def __init__(self, pair: Pair, name: str, settings: SerialSettings, data: bytes, period_s: float) -> None:
        self._pair = pair
        self._name = name
        self._settings = settings
        self._data = data
        self._period_s = max(period_s, len(data) * settings.character_s)
        self.is_active = True
        pair.at(pair.now_s() + period_s, self._send)

    @property
    def name(self) -> str:
        """Unique on the line."""
        return self._name

    @property
    def receiver_settings(self) -> SerialSettings:
        """What it is set to."""
        return self._settings

    @property
    def is_powered(self) -> bool:
        """Switched off it is silent."""
        return self.is_active

    def heard(self, heard: Heard) -> None:
        """It does not listen."""

    def _send(self) -> None:
        self._pair.send(self, Burst(self._data, self._settings))
        self._pair.at(self._pair.now_s() + self._period_s, self._send)

"""A station on the simulated pair that sends what it is told and keeps what it hears."""

from __future__ import annotations

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.station import Burst, Heard, Pair


class TalkingStation:
    """Set as the line under test is."""

    name = "talker"
    is_powered = True

    def __init__(self, pair: Pair, settings: SerialSettings) -> None:
        self._pair = pair
        self.receiver_settings = settings
        self.data_heard = b""

    def heard(self, heard: Heard) -> None:
        """Keep it."""
        self.data_heard += heard.data

    def say(self, data: bytes) -> None:
        """Send now."""
        self._pair.send(self, Burst(data, self.receiver_settings))

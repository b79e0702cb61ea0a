"""A device that finds the speed by itself: it listens at one after the other until it hears good frames.

Our own law, with the numbers practitioners report: ten seconds a speed, framing 8N1; a good frame, to anybody, keeps it
there; after three of them it answers, and it keeps the speed until power-off (common practice, no source).
"""

from __future__ import annotations

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from simulated_line.reference_codec.check_sum import is_closed_right
from simulated_line.servers.device_habits import (
    AUTOMATIC_DWELL_S,
    AUTOMATIC_FRAMES_NEEDED,
    AUTOMATIC_SPEEDS_BAUD,
)


class AutomaticSpeed:
    """Which speed it listens at, and whether it has settled. Starts at that of `first`."""

    def __init__(self, first: SerialSettings) -> None:
        speeds = AUTOMATIC_SPEEDS_BAUD
        self._first = speeds.index(first.baud_rate) if first.baud_rate in speeds else 0
        self._at = self._first
        self._good_frames = 0
        self._since_s = 0.0
        self._heard_good = False

    @property
    def settings(self) -> SerialSettings:
        """What it listens with now."""
        return SerialSettings(AUTOMATIC_SPEEDS_BAUD[self._at], Parity.NONE, 1)

    @property
    def has_settled(self) -> bool:
        """It keeps this speed until its supply goes."""
        return self._good_frames >= AUTOMATIC_FRAMES_NEEDED

    @property
    def dwell_ends_s(self) -> float:
        """When it moves on unless it hears a good frame."""
        return self._since_s + AUTOMATIC_DWELL_S

    def restart(self) -> None:
        """Forget what was found."""
        self._at = self._first
        self._good_frames = 0

    def begin_dwell(self, now_s: float) -> float:
        """Begin to listen; return a token of this dwell."""
        self._since_s = now_s
        self._heard_good = False
        return now_s

    def is_dwell(self, token_s: float) -> bool:
        """Tell whether that dwell still runs."""
        return self._since_s == token_s

    def move_on(self, now_s: float) -> bool:
        """End a dwell: stay if it heard a good frame, else take the next speed and say so."""
        if self._heard_good:
            return False
        self._since_s = now_s
        self._good_frames = 0
        self._at = (self._at + 1) % len(AUTOMATIC_SPEEDS_BAUD)
        return True

    def frame(self, data: bytes, *, is_clean: bool) -> bool:
        """Take a frame heard; return whether the device may answer it."""
        if not is_clean or not is_closed_right(data):
            return self.has_settled
        had_settled = self.has_settled
        self._heard_good = True
        self._good_frames += 1
        return had_settled

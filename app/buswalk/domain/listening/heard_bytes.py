"""Bytes heard, with what is known of their times: when each came, and where the line was surely silent."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from operator import attrgetter

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.listening.running_crc import Bytes8, Offsets

Seconds = NDArray[np.float64]
WALL_S = 0.1
"""No frame reaches over a silence as long as this. Pauses of 2 to 10 ms inside frames are met; a computer that stalls
makes longer ones, but unsure ones, and only sure silence counts here."""
LONGEST_INTER_FRAME_DELAY_S = 3.5 * 11 / 1200
"""At 1200 baud, the slowest speed in use (common practice, no source): taken where the speed is not told."""

_NOT_BEFORE_S = attrgetter("not_before_s")
_NOT_AFTER_S = attrgetter("not_after_s")


@dataclass(frozen=True, slots=True)
class Pace:
    """How long a character takes, and how long silence must last to part two frames (Serial Line V1.02, 2.5.1.1)."""

    character_s: float
    silence_s: float

    @classmethod
    def of(cls, settings: SerialSettings) -> Pace:
        """Return that of a speed and framing."""
        return cls(settings.character_s, inter_frame_delay_s(settings))

    @classmethod
    def not_told(cls) -> Pace:
        """Return one that claims nothing: characters without length, silence that parts frames at any speed."""
        return cls(0.0, LONGEST_INTER_FRAME_DELAY_S)


class HeardBytes:
    """A run of bytes, added at its end and dropped at its front; offsets count from the first byte ever added."""

    def __init__(self, pace: Pace) -> None:
        self._pace = pace
        self._data = bytearray()
        self._dropped = 0
        self._starts = np.zeros(0, dtype=np.intp)
        self._not_before_s = np.zeros(0)
        self._not_after_s = np.zeros(0)

    @property
    def begin(self) -> int:
        """Offset of the first byte that is still here."""
        return self._dropped

    @property
    def end(self) -> int:
        """Offset behind the last byte."""
        return self._dropped + len(self._data)

    def add(self, arrivals: Iterable[Arrival]) -> None:
        """Add what came, in order."""
        lumps = [arrival for arrival in arrivals if arrival.data]
        self._append(
            [lump.data for lump in lumps],
            np.fromiter(map(_NOT_BEFORE_S, lumps), dtype=np.float64, count=len(lumps)),
            np.fromiter(map(_NOT_AFTER_S, lumps), dtype=np.float64, count=len(lumps)),
        )

    def add_untimed(self, data: bytes) -> None:
        """Add bytes of whose times nothing is known."""
        if data:
            self._append([data], np.array([-np.inf]), np.array([np.inf]))

    def _append(self, lumps: list[bytes], not_before_s: Seconds, not_after_s: Seconds) -> None:
        ends = self.end + np.cumsum(np.fromiter(map(len, lumps), dtype=np.intp, count=len(lumps)))
        self._starts = np.concatenate((self._starts, np.append(self.end, ends)[: len(lumps)]))
        self._not_before_s = np.concatenate((self._not_before_s, not_before_s))
        self._not_after_s = np.concatenate((self._not_after_s, not_after_s))
        self._data += b"".join(lumps)

    def between(self, begin: int, end: int) -> bytes:
        """Return the bytes [begin, end)."""
        return bytes(self._data[begin - self._dropped : end - self._dropped])

    def many(self, begins: Offsets, ends: Offsets) -> list[bytes]:
        """Return the bytes of many spans."""
        data, base = bytes(self._data), self._dropped
        return [data[begin:end] for begin, end in zip((begins - base).tolist(), (ends - base).tolist(), strict=True)]

    def all(self) -> Bytes8:
        """Return what is here."""
        return np.frombuffer(bytes(self._data), dtype=np.uint8)

    def silences(self, longer_than_s: float) -> Offsets:
        """Return the offsets in front of which silence longer than this is sure.

        From the latest end of one lump to the earliest start bit of the next; latency is in their ranges already.
        """
        silent_s = self._not_before_s[1:] - self._pace.character_s - self._not_after_s[:-1]
        silent: Offsets = self._starts[1:][silent_s > longer_than_s]
        return silent

    def inter_frame_silences(self) -> Offsets:
        """Return the offsets in front of which t3.5 is sure."""
        return self.silences(self._pace.silence_s)

    def walls(self) -> Offsets:
        """Return the offsets that no frame reaches over."""
        return self.silences(max(WALL_S, self._pace.silence_s))

    def ended_s(self, offsets: Offsets) -> tuple[Seconds, Seconds]:
        """Return when the last bits of these bytes came: not before, not after.

        Characters follow each other by their own length at least, so a byte in front of others of its lump ended
        earlier than the lump. Where a port spends no wire time a lump is shorter than its characters; then its own
        range is all that is known.
        """
        starts = np.append(self._starts, self.end)
        lump = np.searchsorted(starts, offsets, side="right") - 1
        earliest_s, latest_s = self._not_before_s[lump], self._not_after_s[lump]
        not_before_s = earliest_s + (offsets - starts[lump]) * self._pace.character_s
        not_after_s = latest_s - (starts[lump + 1] - 1 - offsets) * self._pace.character_s
        is_possible = not_before_s <= not_after_s
        return np.where(is_possible, not_before_s, earliest_s), np.where(is_possible, not_after_s, latest_s)

    def begun_s(self, offsets: Offsets) -> tuple[Seconds, Seconds]:
        """Return when the start bits of these bytes came: not before, not after."""
        not_before_s, not_after_s = self.ended_s(offsets)
        return not_before_s - self._pace.character_s, not_after_s - self._pace.character_s

    def drop_until(self, offset: int) -> None:
        """Forget the bytes in front of this offset."""
        del self._data[: offset - self._dropped]
        self._dropped = offset
        # One lump more is kept than has bytes here: how long the line was silent behind it counts.
        needless = int(np.searchsorted(self._starts, offset, side="right")) - 2
        if needless > 0:
            self._starts = self._starts[needless:]
            self._not_before_s, self._not_after_s = self._not_before_s[needless:], self._not_after_s[needless:]

"""What stands on the pair: the seam between the physics (bits, overlap, receivers) and those who talk.

The physics side calls a station when its receiver has heard something; a station asks the pair to send.
Nothing here knows of register maps, and nothing below knows of frames' meaning.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import IntFlag
from typing import Protocol

from buswalk.domain.line.serial_settings import SerialSettings


class CharacterFault(IntFlag):
    """What a receiver noticed of one character."""

    NONE = 0
    FRAMING = 1
    PARITY = 2
    BREAK = 4


@dataclass(frozen=True, slots=True)
class Heard:
    """What one receiver made of the pair between two silences longer than its own t3.5.

    Attributes:
        data: The characters, in order.
        faults: One byte per character, a `CharacterFault`.
        begins_s: Start edge of the first character.
        ends_s: Middle of the last stop bit sampled plus half a bit: the end of the last character.
        longest_pause_s: Longest silence between two of these characters.
    """

    data: bytes
    faults: bytes
    begins_s: float
    ends_s: float
    longest_pause_s: float


@dataclass(frozen=True, slots=True)
class Pause:
    """Silence of `duration_s` after `after_byte` bytes of a burst."""

    after_byte: int
    duration_s: float


@dataclass(frozen=True, slots=True)
class Burst:
    """What a driver puts on the pair.

    Attributes:
        data: Bytes to send, at least one.
        settings: How its characters are sent.
        pauses: Silences inside, in order.
        enable_late_s: The driver is switched on only this long after the first start bit began: the
            head is lost or damaged (practice: F17).
        release_late_s: The driver goes on holding mark this long after the last stop bit (F18).
    """

    data: bytes
    settings: SerialSettings
    pauses: tuple[Pause, ...] = ()
    enable_late_s: float = 0.0
    release_late_s: float = 0.0


class Appointment(Protocol):
    """Something that will happen on the line's time, unless it is called off."""

    def call_off(self) -> None:
        """Make it not happen. Calling off twice, or too late, does nothing."""


class Pair(Protocol):
    """What the line offers to a station."""

    def now_s(self) -> float:
        """Present line time in seconds."""

    def at(self, time_s: float, action: Callable[[], None]) -> Appointment:
        """Have `action` called when line time reaches `time_s` (now at the earliest)."""

    def send(self, station: Station, burst: Burst) -> None:
        """Let this station's driver put a burst on the pair, beginning now."""

    def settings_changed(self, station: Station) -> None:
        """Say that `station.receiver_settings` is another one now: what its receiver was in is lost."""


class Station(Protocol):
    """A transceiver with something behind it: a server device, a foreign client, our adapter."""

    @property
    def name(self) -> str:
        """Unique on the line."""

    @property
    def receiver_settings(self) -> SerialSettings:
        """What its receiver is set to now."""

    @property
    def is_powered(self) -> bool:
        """A station without supply hears nothing and drives nothing."""

    def heard(self, heard: Heard) -> None:
        """Take a frame's worth of characters; called when t3.5 of its settings has passed after the last.

        `Pair.now_s()` is then `heard.ends_s` + t3.5.
        """

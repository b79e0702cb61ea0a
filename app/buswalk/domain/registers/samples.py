"""What watching registers leaves in the record: samples, each with its time and how far it can be trusted."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.point import Point


class Quality(Enum):
    """How far a sample can be trusted."""

    GOOD = "good"
    DOUBTFUL = "doubtful"
    """It may be the late reply to an earlier, equal request."""
    OUT_OF_RANGE = "out_of_range"
    """Outside of what the list says can be."""
    NO_VALUE = "no_value"
    """A sentinel or no number."""
    REFUSED = "refused"
    """The device answered with an exception."""
    NO_REPLY = "no_reply"
    """Silence, or nothing that could be read."""


@dataclass(frozen=True, slots=True)
class Sample:
    """One look at one point.

    Attributes:
        words: As they came, one entry a register (or one bit), in wire order; empty without a reply.
        number: The scaled value for plots; NaN where there is none or it is a text.
    """

    point: str
    words: tuple[int, ...]
    number: float
    quality: Quality


@dataclass(frozen=True, slots=True)
class PointsWatched:
    """From here on these points of a device are read, as they are described here: a record needs no profile beside it.

    Attributes:
        profile: Name of the profile they are from.
    """

    server_address: int
    settings: SerialSettings
    profile: str
    points: tuple[Point, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class SamplesTaken:
    """What one exchange told of points.

    Attributes:
        exchange: Its number.
        at_s: The middle of the time between which the reply's first byte came, or when silence was concluded.
        uncertainty_s: Half of that time.
    """

    exchange: int
    server_address: int
    settings: SerialSettings
    samples: tuple[Sample, ...]
    at_s: float
    uncertainty_s: float

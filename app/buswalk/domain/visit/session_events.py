"""What happens in a session beside the traffic, as events. Frozen: once said, never changed. Times are line time."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.mark_end import NO_END, MarkEnd


@dataclass(frozen=True, slots=True)
class SessionStarted:
    """The bus process began; all times count from here.

    Attributes:
        wall_time: Of the computer's clock at line time 0, ISO 8601 with the offset of its zone.
        factor: How many times faster than the wall the line's time passes; 1 on copper.
    """

    wall_time: str
    factor: float
    is_simulated: bool
    program: str


@dataclass(frozen=True, slots=True)
class PortOpened:
    """The port is ours from now on."""

    port: str
    adapter: str
    settings: SerialSettings
    traits: LineTraits
    at_s: float


@dataclass(frozen=True, slots=True)
class TraitsLearnt:
    """The port can tell more, or less, than was known at its opening: latency, echo."""

    traits: LineTraits
    at_s: float


@dataclass(frozen=True, slots=True)
class PortClosed:
    """The port was given back."""

    port: str
    at_s: float


@dataclass(frozen=True, slots=True)
class PortFailed:
    """The port could not be had, or was lost."""

    port: str
    sentence: str
    at_s: float


@dataclass(frozen=True, slots=True)
class PortReturned:
    """A lost port is back, perhaps under another name."""

    port: str
    after_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class JobStarted:
    """A job began. Jobs are counted from 1 in a session; `name` is a word of the trade: search, listen, ping."""

    number: int
    name: str
    at_s: float


class JobEndKind(Enum):
    """How a job ended."""

    FINISHED = "finished"
    STOPPED = "stopped"
    PORT_LOST = "port_lost"
    FAILED = "failed"


@dataclass(frozen=True, slots=True)
class JobEnded:
    """A job is over; what it said before stands."""

    number: int
    name: str
    end: JobEndKind
    sentence: str
    at_s: float


class MarkSource(Enum):
    """Who made a mark."""

    USER = "user"
    HAND = "hand"
    """An act on the simulated line."""
    CLOCK = "clock"
    """The computer's clock jumped, or the computer slept."""
    PROGRAM = "program"


OWN_SESSION = 0


@dataclass(frozen=True, slots=True)
class MarkMade:
    """Something worth finding again from this moment on; `domain/visit/marks` tells what became of it.

    Attributes:
        at_s: Where it begins, perhaps long before it was said.
        end: As far as it was known when it was said.
        session: That it lies in; OWN_SESSION for the one in which it is said.
    """

    words: str
    source: MarkSource
    at_s: float
    end: MarkEnd = NO_END
    session: int = OWN_SESSION


@dataclass(frozen=True, slots=True)
class MarkEnded:
    """A mark ends here.

    Attributes:
        mark: Row of its `MarkMade`.
        end_s: Line time of the session that the mark lies in.
        at_s: When it was said.
    """

    mark: int
    end_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class MarkEdited:
    """A mark is this from now on, whatever was said of it before.

    Attributes:
        mark: Row of its `MarkMade`.
        start_s: Line time of the session that the mark lies in.
        at_s: When it was said.
    """

    mark: int
    words: str
    start_s: float
    end: MarkEnd
    at_s: float


@dataclass(frozen=True, slots=True)
class MarkTakenBack:
    """A mark was a mistake; `mark` is the row of its `MarkMade`."""

    mark: int
    at_s: float


@dataclass(frozen=True, slots=True)
class PlanKept:
    """The planned list is this from now on."""

    devices: tuple[PlannedDevice, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class EchoTested:
    """What the port hears of its own sending, asked by one legal read to the reserved address 255."""

    is_heard: bool
    sentence: str
    at_s: float


SessionEvent: TypeAlias = (
    SessionStarted
    | PortOpened
    | TraitsLearnt
    | PortClosed
    | PortFailed
    | PortReturned
    | JobStarted
    | JobEnded
    | MarkMade
    | MarkEnded
    | MarkEdited
    | MarkTakenBack
    | PlanKept
    | EchoTested
)

"""What the window and the bus process say to each other: commands one way, batches of kept events the other."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.bus.write_messages import EarlierWritesTold, LockWriting, UnlockWriting, WriteCommand, WritingTold
from buswalk.domain.line.port_options import USUAL_OPTIONS, PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.readdressing.plan import ReaddressPlan
from buswalk.domain.registers.map_learning.plan import LearnPlan
from buswalk.domain.search.events import SearchPlan
from buswalk.domain.search.ping import PingPlan
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.mark_end import NO_END, MarkEnd
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.watching.plan import WatchPlan

# Commands. Each is ended by one `Done` or `Refused` that names its id.


@dataclass(frozen=True, slots=True)
class OpenPort:
    """Take a port: a name of this computer, rfc2217://, socket://, demo:NAME or sim:FILE. One in use is given back."""

    port: str
    settings: SerialSettings
    options: PortOptions = USUAL_OPTIONS


@dataclass(frozen=True, slots=True)
class ClosePort:
    """Give the port back."""


@dataclass(frozen=True, slots=True)
class ListPorts:
    """Ask which ports there are: `PortsListed` follows."""


@dataclass(frozen=True, slots=True)
class StartSearch:
    """Find which addresses and settings answer.

    Attributes:
        goes_on: Ask nothing again that the last search on this line has asked.
    """

    plan: SearchPlan
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class StartListening:
    """Listen without sending one byte."""

    seconds: float
    settings: SerialSettings


@dataclass(frozen=True, slots=True)
class StartPing:
    """Ask one device again and again."""

    plan: PingPlan


@dataclass(frozen=True, slots=True)
class StartWatch:
    """Ask each device in turn for as long as it takes, so that whatever goes wrong is recorded."""

    plan: WatchPlan


@dataclass(frozen=True, slots=True)
class StartPresence:
    """Ask all that answer in turn, so that a plug that is pulled shows who hangs behind it."""

    plan: PresencePlan


@dataclass(frozen=True, slots=True)
class StartLearning:
    """Learn which addresses of one device can be read.

    Attributes:
        goes_on: Ask nothing again that the last learning of this device has asked.
    """

    plan: LearnPlan
    goes_on: bool = False


@dataclass(frozen=True, slots=True)
class StartEchoTest:
    """Find out whether the port hears itself: listens, then sends one legal read to the reserved address 255."""


@dataclass(frozen=True, slots=True)
class StartReaddress:
    """Set one device to another address or speed by writing, and find out where it is then."""

    plan: ReaddressPlan


@dataclass(frozen=True, slots=True)
class LookForMoved:
    """Write nothing: look in all places where a device can be that was set to another address or speed."""

    plan: ReaddressPlan


class Hand(Enum):
    """What hands can do to a simulated line."""

    UNPLUG = "unplug"
    PLUG_IN = "plug_in"
    OPEN_CABLE = "open_cable"
    JOIN_CABLE = "join_cable"
    SWAP_PAIR = "swap_pair"
    POWER_CYCLE = "power_cycle"
    PLANT_ON = "plant_on"
    PLANT_OFF = "plant_off"
    ON_BATTERY = "on_battery"
    ON_CHARGER = "on_charger"


@dataclass(frozen=True, slots=True)
class UseHand:
    """Do that at a device, by its name; acts on plant and laptop need no name."""

    hand: Hand
    at: str = ""


@dataclass(frozen=True, slots=True)
class SetFactor:
    """Let the time of a simulated line pass so many times faster than on the wall."""

    factor: float


@dataclass(frozen=True, slots=True)
class KeepPlan:
    """The planned list is this from now on."""

    devices: tuple[PlannedDevice, ...]


@dataclass(frozen=True, slots=True)
class AtOnce:
    """The moment at which the command is carried out."""


@dataclass(frozen=True, slots=True)
class AtTime:
    """A line time of this session that has passed already."""

    at_s: float


Moment: TypeAlias = AtOnce | AtTime
AT_ONCE = AtOnce()


@dataclass(frozen=True, slots=True)
class MakeMark:
    """Note these words, from a moment on; a moment that has not come yet is taken as now."""

    words: str
    start: Moment = AT_ONCE
    end: MarkEnd = NO_END


@dataclass(frozen=True, slots=True)
class EndMark:
    """A mark of this session ends; `mark` is its row (`domain/visit/marks.Mark.row`)."""

    mark: int
    end: Moment = AT_ONCE


@dataclass(frozen=True, slots=True)
class EditMark:
    """A mark of this record is this from now on; times are line time of the session that it lies in."""

    mark: int
    words: str
    start_s: float
    end: MarkEnd


@dataclass(frozen=True, slots=True)
class TakeBackMark:
    """A mark of this record was a mistake."""

    mark: int


MarkCommand: TypeAlias = MakeMark | EndMark | EditMark | TakeBackMark


@dataclass(frozen=True, slots=True)
class SaveRecordAs:
    """Keep the record of a simulated line under a name, so that the next start does not replace it."""

    name: str


@dataclass(frozen=True, slots=True)
class EndProcess:
    """Give the port back, close the record and end."""


@dataclass(frozen=True, slots=True)
class WindowGone:
    """Said by the pipe itself: the window has died. The session gets no end, so that the next start says it."""


Command: TypeAlias = (
    OpenPort
    | ClosePort
    | ListPorts
    | StartSearch
    | StartListening
    | StartPing
    | StartWatch
    | StartPresence
    | StartLearning
    | StartEchoTest
    | UnlockWriting
    | LockWriting
    | WriteCommand
    | StartReaddress
    | LookForMoved
    | UseHand
    | SetFactor
    | KeepPlan
    | MarkCommand
    | SaveRecordAs
    | EndProcess
    | WindowGone
)


@dataclass(frozen=True, slots=True)
class NumberedCommand:
    """A command on its way, with the id by which its end is told."""

    command_id: int
    command: Command


# Stream


@dataclass(frozen=True, slots=True)
class Kept:
    """An event of domain that is in the record (row 0: nothing is recorded), shown after it was kept."""

    row: int
    event: object
    at_s: float


@dataclass(frozen=True, slots=True)
class Done:
    """A command is carried out."""

    command_id: int


@dataclass(frozen=True, slots=True)
class Refused:
    """A command is not carried out; the sentence says why and what to do."""

    command_id: int
    sentence: str


@dataclass(frozen=True, slots=True)
class PortListed:
    """One port of this computer, in words."""

    port: str
    words: str
    adapter: str


@dataclass(frozen=True, slots=True)
class PortsListed:
    """The ports there are."""

    ports: tuple[PortListed, ...]


@dataclass(frozen=True, slots=True)
class HandsOffered:
    """The simulated line that is open has these devices, in the order of the cable."""

    devices: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class RecordTold:
    """How the record stands."""

    state: RecordState


@dataclass(frozen=True, slots=True)
class Noticed:
    """What was found at the start: a session that did not end in order. One sentence."""

    sentence: str


@dataclass(frozen=True, slots=True)
class Skipped:
    """The window was slow, so rows were left out of the stream: read them from the record, from `from_row` on."""

    from_row: int
    count: int


StreamItem: TypeAlias = (
    Kept
    | Done
    | Refused
    | PortsListed
    | HandsOffered
    | WritingTold
    | EarlierWritesTold
    | RecordTold
    | Noticed
    | Skipped
)


@dataclass(frozen=True, slots=True)
class Batch:
    """What the bus process has to say, at most ten times a second, and how its time passes until the next."""

    line_time_s: float
    factor: float
    is_walking: bool
    items: tuple[StreamItem, ...]

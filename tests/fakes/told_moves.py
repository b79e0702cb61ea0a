"""A probe and what a move of it tells, as the stream tells it, for the page Registers."""

from __future__ import annotations

from buswalk.bus.messages import Kept, StreamItem
from buswalk.bus.write_messages import WritingTold
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.readdressing.events import (
    CompanyLooked,
    LookedAfter,
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnd,
    ReaddressEnded,
    RestartWanted,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.registers.point import Access, Point, Sets
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.writing.events import WriteAnswer
from buswalk.domain.search.prior import asked_as
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from tests.fakes.told_line import copper_opened, found, kept

SLOW = SerialSettings.of(4800, "8N1")
FAST = SerialSettings.of(19_200, "8E1")
OLD, NEW = Reach(1, SLOW), Reach(45, SLOW)
PLACES = (OLD, NEW)
ADDRESS = Point(
    "server_address",
    Table.HOLDING_REGISTERS,
    100,
    words="server address",
    access=Access.READ_WRITE,
    sets=Sets.SERVER_ADDRESS,
)
PROBE = RegisterProfile("soil-probe", "soil probe", (ADDRESS,))
LIBRARY = ProfileLibrary((PROBE,))
WHY = "as planned, alone on the bench"
OPEN = WritingTold(is_open=True, reason=WHY, left_s=280.0)
TO_45 = RegisterValue(100, 45)
STARTED = JobStarted(2, "set address", 20.0)
ENDED = JobEnded(2, "set address", JobEndKind.FINISHED, "", 60.0)


def probe_found() -> list[Kept]:
    """Return a port with the probe found at 1, as a search asks it: with two stop bits."""
    return [*copper_opened(), *kept(found(1, asked_as(SLOW)))]


def checking() -> list[StreamItem]:
    """The job has begun, nothing is written yet."""
    return [*kept(STARTED, ReaddressBegun(OLD, NEW, (TO_45,), WHY, 20.0))]


def written(*answered: Reach) -> list[StreamItem]:
    """Nobody else is there, the register was written, and it was looked for."""
    return [
        *checking(),
        *kept(
            CompanyLooked(246, (), 50.0),
            OldSettingsRead((RegisterValue(100, 1),), 52.0),
            SettingWritten(OLD, TO_45, 260, WriteAnswer.CONFIRMED, 0, 53.0),
            PlacesLooked(LookedAfter.WRITING, PLACES, answered, 55.0),
        ),
    ]


def moved() -> list[StreamItem]:
    """It is at the new address."""
    end = ReaddressEnded(ReaddressEnd.MOVED_AT_ONCE, (NEW,), "the device is at 45 at 4800 8N1; label it now", 56.0)
    return [*written(NEW), *kept(end, ENDED)]


def waiting() -> list[StreamItem]:
    """It is where it was, and its supply is to be cycled."""
    return [*written(OLD), *kept(RestartWanted("it answers at 1: take its supply away", 180.0, 56.0))]


def lost() -> list[StreamItem]:
    """Nothing answers anywhere."""
    sentence = "nothing answers at 1 at 4800 8N1, 45 at 4800 8N1: cycle its supply, then search with it alone"
    return [*written(), *kept(ReaddressEnded(ReaddressEnd.LOST, (), sentence, 56.0), ENDED)]

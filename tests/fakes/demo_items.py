"""What the real engine says of the demo line in virtual time: a stream that windows are fed with, times readable."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Command, Kept, OpenPort, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import SearchPlan
from buswalk.domain.visit.session_events import PortClosed, SessionStarted
from tests.bus.engine_bench import EngineBench
from tests.fakes.told_line import WALL_TIME

DEMO = OpenPort("demo:greenhouse-first-day", SerialSettings.of(9600, "8N1"))
PLANNED = (11, 14, 21, 22, 23, 24, 31, 32, 41, 45, 51)
SHORT_SEARCH = SearchPlan(
    addresses=(1, 2, *PLANNED, 56),
    settings={SerialSettings.of(9600, "8N2"): 0.6, SerialSettings.of(19200, "8E1"): 0.4},
    planned=frozenset(PLANNED),
    listen_s=2.0,
)


def demo_items(*commands: Command) -> list[StreamItem]:
    """Return all that is said while these are carried out on the demo line; the port stays open."""
    said = EngineBench().run(DEMO, *commands)
    return [readable(item) for item in said if not (isinstance(item, Kept) and isinstance(item.event, PortClosed))]


def readable(item: StreamItem) -> StreamItem:
    """Give a session a wall time that people can read: the bench has none."""
    if isinstance(item, Kept) and isinstance(item.event, SessionStarted):
        return replace(item, event=replace(item.event, wall_time=WALL_TIME))
    return item

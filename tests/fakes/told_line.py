"""What the bus process tells of a line, as stream items for presenters: opening, what was found."""

from __future__ import annotations

from buswalk.bus.messages import Kept
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import Doubt, Found, Identity
from buswalk.domain.visit.session_events import PortOpened, SessionStarted

WALL_TIME = "2025-11-25T09:41:00.000+01:00"
USUAL = SerialSettings.of(9600, "8N1")
TRAITS = LineTraits(
    carries_speed=True,
    carries_framing=True,
    spends_wire_time=True,
    mark_reporting=MarkReporting.PER_BYTE,
    echo=Echo.NOT_KNOWN,
    latency_s=0.001,
    latency_source=LatencySource.ASKED,
    settings_change_s=0.02,
    is_simulated=False,
)


def kept(*events: object, at_s: float = 0.0) -> list[Kept]:
    """Return events as the stream brings them."""
    return [Kept(row, event, at_s) for row, event in enumerate(events, start=1)]


def copper_opened(port: str = "COM5", traits: LineTraits = TRAITS) -> list[Kept]:
    """Return the opening of a real port."""
    session = SessionStarted(WALL_TIME, 1.0, is_simulated=False, program="buswalk test")
    return kept(session, PortOpened(port, "0403:6001 no. A1", USUAL, traits, 0.0))


def demo_opened() -> list[Kept]:
    """Return the opening of the demo line, without its plan."""
    session = SessionStarted(WALL_TIME, 10.0, is_simulated=True, program="buswalk test")
    return kept(session, PortOpened("demo:greenhouse-first-day", "simulated adapter", USUAL, TRAITS, 0.0))


def found(
    server_address: int, settings: SerialSettings = USUAL, *doubts: Doubt, answered: int = 2, confirmations: int = 2
) -> Found:
    """Return a device that answers."""
    return Found(
        server_address=server_address,
        settings=settings,
        function=0x03,
        is_refusal=False,
        answered=answered,
        confirmations=confirmations,
        doubts=doubts,
        identity=Identity(),
        exchange_numbers=(1, 2),
    )

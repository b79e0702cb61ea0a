"""What every page has to know of the line: whose it is, since when, what runs on it. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import SettingsApplied
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobStarted,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
    TraitsLearnt,
)


class PortStands(Enum):
    """How the port stands."""

    NONE = "none"
    HELD = "held"
    LOST = "lost"
    """It was ours and has vanished; it is waited for."""
    NOT_HAD = "not had"
    """It could not be opened."""
    GIVEN_BACK = "given back"


@dataclass(frozen=True, slots=True)
class LineFacts:
    """The line at this moment.

    Attributes:
        wall_time: Of line time 0, ISO 8601; empty before the first session.
        port: As the user named it; stays after it was lost or given back.
        held_from_s, changed_s: When it was taken, and when it came to stand as it does; line time.
        failure: Why it was lost or could not be had.
        returned_after_s: How long it was away; 0 if it never was.
        job: Name of the running job; empty while none runs.
    """

    wall_time: str = ""
    is_simulated: bool = False
    stands: PortStands = PortStands.NONE
    port: str = ""
    adapter: str = ""
    settings: SerialSettings | None = None
    traits: LineTraits | None = None
    held_from_s: float = 0.0
    changed_s: float = 0.0
    failure: str = ""
    returned_after_s: float = 0.0
    job: str = ""
    job_from_s: float = 0.0

    @property
    def is_held(self) -> bool:
        """Whether something can be asked."""
        return self.stands is PortStands.HELD


def after(facts: LineFacts, item: StreamItem) -> LineFacts:
    """Return the facts after one more item of the stream."""
    return _after_event(facts, item.event) if isinstance(item, Kept) else facts


def _after_event(facts: LineFacts, event: object) -> LineFacts:
    match event:
        case SessionStarted(wall_time=wall_time, is_simulated=is_simulated):
            return LineFacts(wall_time=wall_time, is_simulated=is_simulated)
        case PortOpened(port, adapter, settings, traits, at_s):
            return replace(
                facts,
                stands=PortStands.HELD,
                port=port,
                adapter=adapter,
                settings=settings,
                traits=traits,
                held_from_s=at_s,
                changed_s=at_s,
            )
        case TraitsLearnt(traits=traits):
            return replace(facts, traits=traits)
        case SettingsApplied(settings=settings):
            return replace(facts, settings=settings)
        case PortClosed(at_s=at_s):
            return replace(facts, stands=PortStands.GIVEN_BACK, changed_s=at_s, job="")
        case PortFailed(port, sentence, at_s):
            was_ours = facts.stands in (PortStands.HELD, PortStands.LOST)
            stands = PortStands.LOST if was_ours else PortStands.NOT_HAD
            return replace(facts, stands=stands, port=port, failure=sentence, changed_s=at_s)
        case PortReturned(port, after_s, at_s):
            return replace(
                facts, stands=PortStands.HELD, port=port, failure="", returned_after_s=after_s, changed_s=at_s
            )
        case JobStarted(name=name, at_s=at_s):
            return replace(facts, job=name, job_from_s=at_s)
        case JobEnded():
            return replace(facts, job="")
        case _:
            return facts

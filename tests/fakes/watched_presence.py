"""A presence watch over a simulated site in virtual time, with hands that act while it runs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import TypeVar

from buswalk.domain.line_events import ExchangeDone, LineEvent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.presence.events import PresenceEvent, PresenceRound
from buswalk.domain.presence.plan import PresencePlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.presence import PresenceWatch
from buswalk.jobs.searching.evidence import Evidence
from simulated_line.clocks import VirtualClock
from simulated_line.site import SimulatedSite

Event = TypeVar("Event")


@dataclass
class WatchedPresence:
    """Runs at once, for so many rounds; `acts` are done after the rounds of these numbers."""

    site: SimulatedSite
    plan: PresencePlan
    rounds: int
    acts: dict[int, Callable[[], object]] = field(default_factory=dict)
    line_events: list[LineEvent] = field(default_factory=list)
    events: list[PresenceEvent] = field(default_factory=list)

    def __post_init__(self) -> None:
        clock = VirtualClock(self.site.timeline)
        line = self.site.open_line("demo", self.plan.devices[0].settings, clock.keep_pace)
        evidence = Evidence()

        def take(event: LineEvent) -> None:
            self.line_events.append(event)
            evidence(event)

        watch = PresenceWatch(Asker(line, clock, take), evidence, self.plan, self._is_enough)
        for event in watch.run():
            self.events.append(event)
            if isinstance(event, PresenceRound) and event.number in self.acts:
                self.acts[event.number]()

    def _is_enough(self) -> bool:
        return len(self.of(PresenceRound)) >= self.rounds

    def of(self, kind: type[Event]) -> list[Event]:
        """Return the events of a kind."""
        return [one for one in self.events if isinstance(one, kind)]

    @property
    def exchanges(self) -> list[Exchange]:
        """All that were told, in order."""
        return [one.exchange for one in self.line_events if isinstance(one, ExchangeDone)]

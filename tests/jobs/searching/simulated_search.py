"""Runs a whole search over a simulated line in virtual time, for the tests beside it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from buswalk.domain.line.protocols import Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, LineEvent
from buswalk.domain.search.events import AnswersEverywhere, Found, SearchEnded, SearchEvent, SearchPlan, Unclear
from buswalk.domain.search.prior import usual_settings
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from simulated_line.clocks import VirtualClock
from simulated_line.scenario.reading import load_scenario, named_scenario
from simulated_line.site import build_site
from simulated_line.timeline import Timeline

NO_PARITY_9600 = SerialSettings.of(9600, "8N2")
"""How a search asks without parity: receivers test the first stop bit only."""


def settings_at(*baud_rates: int) -> dict[SerialSettings, float]:
    """Return the usual settings at these speeds."""
    return {one: weight for one, weight in usual_settings().items() if one.baud_rate in baud_rates}


def plan_for(addresses: range = range(1, 61), *, alone: bool = False, may_probe: bool = True) -> SearchPlan:
    """Return a plan for 9600 and 19200 baud."""
    return SearchPlan(
        addresses=tuple(addresses),
        settings=settings_at(9600, 19200),
        listen_s=0.0 if alone else 10.0,
        may_probe_living_line=may_probe,
    )


@dataclass
class SimulatedSearch:
    """A scenario, its line open, and a search over it."""

    scenario: str | Path
    wrap: Callable[[Line, VirtualClock], Line] = lambda line, _: line
    line_events: list[LineEvent] = field(default_factory=list)

    def __post_init__(self) -> None:
        path = self.scenario if isinstance(self.scenario, Path) else named_scenario(self.scenario)
        self.file = load_scenario(path)
        timeline = Timeline()
        self.clock = VirtualClock(timeline)
        line = build_site(self.file, timeline).open_line("demo", NO_PARITY_9600, self.clock.keep_pace)
        self._evidence = Evidence()
        self.asker = Asker(self.wrap(line, self.clock), self.clock, self._take)

    def _take(self, event: LineEvent) -> None:
        self.line_events.append(event)
        self._evidence(event)

    def job(self, plan: SearchPlan) -> Search:
        """Return a search that has not begun."""
        return Search(self.asker, self._evidence, plan)

    @property
    def asked(self) -> list[tuple[SerialSettings, int, bytes]]:
        """Every request that left or was meant to, in order."""
        done = [one.exchange for one in self.line_events if isinstance(one, ExchangeDone)]
        return [(one.settings, one.server_address, one.request_adu) for one in done]


@dataclass
class Searched:
    """What a search said."""

    events: list[SearchEvent]

    @property
    def found(self) -> list[Found]:
        return [one for one in self.events if isinstance(one, Found)]

    @property
    def addresses(self) -> set[int]:
        return {one.server_address for one in self.found}

    @property
    def unclear(self) -> set[int]:
        return {one.address for one in self.events if isinstance(one, Unclear)}

    @property
    def everywhere(self) -> list[AnswersEverywhere]:
        return [one for one in self.events if isinstance(one, AnswersEverywhere)]

    @property
    def end(self) -> SearchEnded:
        last = self.events[-1]
        assert isinstance(last, SearchEnded)
        return last


def searched(scenario: str | Path, plan: SearchPlan) -> Searched:
    """Search a scenario to the end."""
    return Searched(list(SimulatedSearch(scenario).job(plan).run()))

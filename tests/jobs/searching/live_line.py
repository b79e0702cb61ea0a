"""A search beside another client on a simulated line in virtual time, and that client's own count of what it lost."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from pathlib import Path

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, LineEvent
from buswalk.domain.search.events import Found, SearchEnded, SearchEvent, SearchPlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from simulated_line.clocks import VirtualClock
from simulated_line.pair.place import Place
from simulated_line.scenario.reading import load_scenario
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline
from tests.fakes.other_client import Habits, OtherClient

READ_11 = bytes.fromhex("0B 03 00 00 00 04")
READ_12 = bytes.fromhex("0C 03 00 00 00 02")
READ_99 = bytes.fromhex("63 03 00 00 00 02")
"""Nobody is at 99."""
PLAIN = SerialSettings.of(9600, "8N1")
ASKED_AS_PLAIN = SerialSettings.of(9600, "8N2")
FAST_EVEN = SerialSettings.of(19200, "8E1")


def device(address: int, settings: str = "9600 8N1", turnaround_s: float = 0.015) -> str:
    turnaround = f"{{ least_s = {turnaround_s}, median_s = {turnaround_s * 1.2:.4f} }}"
    head = f'[[device]]\nname = "d{address}"\naddress = {address}\nsettings = "{settings}"\nplace = {address}\n'
    return f"{head}[device.habits]\nturnaround = {turnaround}\n"


@dataclass
class LiveLine:
    """A site with another client on it; `search` runs a search to its end."""

    folder: Path
    text: str
    habits: Habits
    client_settings: SerialSettings = PLAIN
    is_on_from_s: float = 0.0
    line_events: list[LineEvent] = field(default_factory=list)
    events: list[SearchEvent] = field(default_factory=list)

    def __post_init__(self) -> None:
        path = self.folder / "live.toml"
        path.write_text(f'name = "live"\nstory = "for a test"\n{self.text}')
        timeline = Timeline()
        self.site: SimulatedSite = build_site(load_scenario(path), timeline)
        self.client = OtherClient(self.site.segment, self.client_settings, self.habits, self.is_on_from_s)
        self.site.segment.attach(self.client, Place())
        self.clock = VirtualClock(timeline)
        self.line = self.site.open_line("demo", ASKED_AS_PLAIN, self.clock.keep_pace)
        self.evidence = Evidence()
        self.asker = Asker(self.line, self.clock, self._take)

    def _take(self, event: LineEvent) -> None:
        self.line_events.append(event)
        self.evidence(event)

    def search(self, plan: SearchPlan) -> LiveLine:
        """Do it; return itself."""
        for event in Search(self.asker, self.evidence, plan).run():
            self.events.append(event)
        return self

    @property
    def sent(self) -> int:
        """How many requests of ours were told."""
        return sum(isinstance(one, ExchangeDone) for one in self.line_events)

    @property
    def found(self) -> set[tuple[int, SerialSettings]]:
        """Addresses and settings that were found."""
        return {(one.server_address, one.settings) for one in self.events if isinstance(one, Found)}

    @property
    def end(self) -> SearchEnded:
        """How it ended."""
        last = self.events[-1]
        assert isinstance(last, SearchEnded)
        return last

    @property
    def lost(self) -> int:
        """Exchanges of the client to somebody who is there that stayed without an answer."""
        return self.client.asked - self.client.answered


def plan(*addresses: int, settings: dict[SerialSettings, float] | None = None) -> SearchPlan:
    """Return a plan of somebody who may ask on a living line."""
    return SearchPlan(addresses, settings or {ASKED_AS_PLAIN: 1.0}, may_probe_living_line=True)


def held(asked: SearchPlan) -> SearchPlan:
    """The same without leave."""
    return replace(asked, may_probe_living_line=False)

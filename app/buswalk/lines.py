"""Opens any port text: real, network or simulated. No logic; the one importer of the simulated line."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from buswalk.bus.pace import Pace
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.remembered_port import RememberedPort
from buswalk.wire.system_clock import SystemClock
from simulated_line.clocks import PacedClock, VirtualClock
from simulated_line.scenario.reading import ScenarioError, load_scenario, named_scenario
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline

DEMO = "demo:"
SIMULATED = "sim:"
DEMO_FACTOR = 10.0


@dataclass(frozen=True, slots=True)
class Simulated:
    """What only a simulated line has beside the line itself.

    Attributes:
        paced: Its clock, unless its time jumps.
    """

    site: SimulatedSite
    paced: PacedClock | None


@dataclass(frozen=True, slots=True)
class OpenedLine:
    """A line with its clock.

    Attributes:
        open_again: Opens the same port after it was lost, its clock going on; raises `PortError` while it is away.
    """

    port: str
    line: Line
    clock: Clock
    open_again: Callable[[SerialSettings], Line]
    simulated: Simulated | None = None


class WrongScenario(Exception):
    """A scenario that cannot be used.

    Attributes:
        problems: One sentence each.
    """

    def __init__(self, problems: tuple[str, ...]) -> None:
        super().__init__("\n".join(problems))
        self.problems = problems


def open_line(port: str, settings: SerialSettings, options: PortOptions, pace: Pace = Pace.PACED) -> OpenedLine:
    """Open a port text.

    Raises:
        PortError: The port cannot be had.
        WrongScenario: The scenario of a simulated line cannot be used.
    """
    if port.startswith((DEMO, SIMULATED)):
        return _simulated(port, settings, pace)
    clock = SystemClock()
    remembered = RememberedPort(port, options, clock)
    return OpenedLine(port, remembered.open(settings), clock, remembered.open)


def _simulated(port: str, settings: SerialSettings, pace: Pace) -> OpenedLine:
    is_demo = port.startswith(DEMO)
    name = port.removeprefix(DEMO if is_demo else SIMULATED)
    try:
        scenario = load_scenario(named_scenario(name) if is_demo else Path(name))
    except ScenarioError as error:
        raise WrongScenario(error.problems) from error
    timeline = Timeline()
    site = build_site(scenario, timeline)
    clock, keep_pace = _clock(timeline, pace)

    def open_again(chosen: SerialSettings) -> Line:
        habits = site.adapter.habits
        if 0.0 <= timeline.now_s() - habits.unplugged_from_s < habits.back_after_s:
            raise PortError(port, PortProblem.MISSING, f"the adapter of {port} is unplugged: plug it in again")
        is_back = timeline.now_s() >= habits.unplugged_from_s + habits.back_after_s
        line = site.open_line(habits.back_as if is_back and habits.back_as else port, chosen, keep_pace)
        line.discard()
        return line

    paced = clock if isinstance(clock, PacedClock) else None
    line = site.open_line(port, settings, keep_pace)
    return OpenedLine(port, line, clock, open_again, Simulated(site, paced))


def _clock(timeline: Timeline, pace: Pace) -> tuple[Clock, Callable[[], None]]:
    if pace is Pace.VIRTUAL:
        virtual = VirtualClock(timeline)
        return virtual, virtual.keep_pace
    paced = PacedClock(timeline, DEMO_FACTOR, time.perf_counter, time.sleep)
    return paced, paced.keep_pace

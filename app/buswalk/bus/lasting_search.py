"""A search that outlives its port: when the port is lost it waits for it, and goes on where it was."""

from __future__ import annotations

from collections.abc import Callable, Generator
from dataclasses import dataclass, replace
from typing import TypeAlias

from buswalk.bus.job_runner import StoppableClock
from buswalk.bus.port_return import Back, StaysAway, wait_for_return
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line_events import EventSink
from buswalk.domain.search.events import SearchEvent, SearchPlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search


@dataclass(frozen=True, slots=True)
class SearchLine:
    """An open line to search, and how to have it again.

    Attributes:
        open_again: Opens the same port, its clock going on; raises `PortError` while it is not back.
        port_return_s: So long a lost port is waited for; 0 ends the search at once.
        asker_on: How to ask on it, and again after each loss: what comes of it is kept, then handed to the sink, and
            exchanges are numbered on through all losses.
    """

    line: Line
    clock: Clock
    open_again: Callable[[], Line]
    port_return_s: float
    asker_on: Callable[[Line, EventSink], Asker]


@dataclass(frozen=True, slots=True)
class PortGone:
    """The port was lost; what was found so far stands, and it is waited for."""

    sentence: str
    waits_s: float


@dataclass(frozen=True, slots=True)
class PortBack:
    """It is back, and the search goes on."""

    after_s: float


LastingSearchEvent: TypeAlias = SearchEvent | PortGone | PortBack


def lasting_search(given: SearchLine, plan: SearchPlan, stop: StopRequest) -> Generator[LastingSearchEvent, None, None]:
    """Yield the events of a search, over as many losses of the port as there are. Gives the line back at the end.

    Raises:
        PortError: The port is gone for longer than it is waited for, or cannot be used.
        Stopped: The user's stop.
    """
    line = given.line
    clock = StoppableClock(given.clock, stop)
    try:
        while True:
            evidence = Evidence()
            job = Search(given.asker_on(line, evidence), evidence, plan)
            try:
                yield from job.run()
                return
            except PortError as error:
                if error.problem is not PortProblem.VANISHED:
                    raise
                lost = error
            line.close()
            yield PortGone(lost.sentence, given.port_return_s)
            match wait_for_return(given.open_again, clock, given.port_return_s):
                case Back(opened, after_s):
                    line = opened
                    yield PortBack(after_s)
                case StaysAway():
                    raise lost
            plan = replace(plan, memory=job.memory, listen_s=0.0)
    finally:
        line.close()

"""A search that is stopped, or that loses its port, goes on where it was."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buswalk.bus.job_runner import StoppableLine
from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import Stopped as StoppedOutcome
from buswalk.domain.search.events import Found, SearchEvent
from buswalk.jobs.asking.stopped import Stopped
from tests.jobs.searching.simulated_search import (
    NO_PARITY_9600,
    Searched,
    SimulatedSearch,
    plan_for,
    settings_at,
)

SITE = "greenhouse-first-day"
AT_9600 = replace(plan_for(range(1, 61), alone=True), settings=settings_at(9600))


class WatchedLine:
    """Passes everything on, and calls `before_write` with the count of writes before each."""

    def __init__(self, line: Line, fails_at_write: int, error: Exception) -> None:
        self._line = line
        self._fails_at_write = fails_at_write
        self._error = error
        self._writes = 0
        self._is_failing = False

    @property
    def traits(self) -> LineTraits:
        return self._line.traits

    @property
    def settings(self) -> SerialSettings:
        return self._line.settings

    def apply(self, settings: SerialSettings) -> None:
        self._line.apply(settings)

    def write(self, data: bytes) -> Sent:
        self._writes += 1
        self._is_failing = self._writes == self._fails_at_write
        return self._line.write(data)

    def read(self, until_s: float) -> Arrival | None:
        if self._is_failing:
            self._is_failing = False
            raise self._error
        return self._line.read(until_s)

    def discard(self) -> tuple[Arrival, ...]:
        return self._line.discard()

    def close(self) -> None:
        self._line.close()


def failing_search(at_write: int, error: Exception) -> SimulatedSearch:
    return SimulatedSearch(SITE, wrap=lambda line, _: WatchedLine(line, at_write, error))


def run_until(search: SimulatedSearch, error: type[Exception]) -> tuple[list[SearchEvent], list[SearchEvent]]:
    """Return what was said before the error, and what a second search said with the memory of the first."""
    first = search.job(AT_9600)
    said: list[SearchEvent] = []
    with pytest.raises(error):
        said.extend(first.run())
    second = search.job(replace(AT_9600, memory=first.memory))
    return said, list(second.run())


WRITES = (1, 2, 3, 7, 20, 41, 42, 60, 90, 130, 200)


@pytest.mark.parametrize("at_write", WRITES)
def test_a_search_that_lost_its_port_finds_the_same_as_one_that_did_not(at_write: int) -> None:
    whole = Searched(list(SimulatedSearch(SITE).job(AT_9600).run()))
    search = failing_search(at_write, PortError("port", PortProblem.VANISHED, "gone"))

    _, after = run_until(search, PortError)

    assert Searched(after).end.devices == len(whole.found)
    assert Searched(after).addresses <= whole.addresses


@pytest.mark.parametrize("at_write", WRITES)
def test_a_stop_at_any_moment_ends_with_an_exchange_told_and_can_be_gone_on_from(at_write: int) -> None:
    search = failing_search(at_write, Stopped())

    said, after = run_until(search, Stopped)

    stopped = [
        one.exchange
        for one in search.line_events
        if isinstance(one, ExchangeDone) and isinstance(one.exchange.outcome, StoppedOutcome)
    ]
    before = {(one.server_address, one.settings) for one in said if isinstance(one, Found)}
    again = {(one.server_address, one.settings) for one in after if isinstance(one, Found)}
    assert len(stopped) <= 1
    assert before.isdisjoint(again)
    assert len(before | again) == Searched(after).end.devices


def test_what_was_asked_and_settled_is_not_asked_again() -> None:
    """Only requests whose answer could still have come, those of the last 1.6 s, are asked a second time."""
    search = failing_search(200, PortError("port", PortProblem.VANISHED, "gone"))
    first = search.job(AT_9600)
    with pytest.raises(PortError):
        list(first.run())
    settled = {(one.settings, one.server_address, one.request().pdu()) for one in first.memory.asked}
    asked_before = len(search.asked)

    list(search.job(replace(AT_9600, memory=first.memory)).run())

    again = {(settings, address, adu[1:-2]) for settings, address, adu in search.asked[asked_before:]}
    confirming = {(NO_PARITY_9600, address) for address in (173, 211, 94)}
    repeated = {one for one in again & settled if one[:2] not in confirming}
    assert len(settled) > 100
    assert repeated == set()


def test_a_search_with_the_memory_of_a_finished_one_asks_nothing() -> None:
    search = SimulatedSearch(SITE)
    first = search.job(AT_9600)
    list(first.run())
    asked_before = len(search.asked)

    events = list(search.job(replace(AT_9600, memory=first.memory)).run())

    assert len(search.asked) == asked_before
    assert Searched(events).end.devices > 0


def test_a_widened_search_asks_only_what_is_new() -> None:
    search = SimulatedSearch(SITE)
    narrow = replace(AT_9600, addresses=tuple(range(1, 31)))
    first = search.job(narrow)
    list(first.run())
    asked_before = len(search.asked)

    list(search.job(replace(AT_9600, memory=first.memory)).run())

    assert {address for _, address, _ in search.asked[asked_before:]} & set(range(1, 31)) == set()


def test_no_address_outside_the_plan_is_asked_but_the_unlikely_ones_for_comparison() -> None:
    search = SimulatedSearch(SITE)
    plan = replace(AT_9600, addresses=(11, 21, 22))

    list(search.job(plan).run())

    assert {address for _, address, _ in search.asked} <= {11, 21, 22, 173, 211, 94}


def test_the_stop_request_ends_a_search_within_one_look() -> None:
    stop = StopRequest()
    search = SimulatedSearch(SITE, wrap=lambda line, clock: StoppableLine(line, clock, stop))
    events = search.job(AT_9600).run()
    next(one for one in events if isinstance(one, Found))
    stop.set()
    at_s = search.clock.now_s()

    with pytest.raises(Stopped):
        list(events)

    assert search.clock.now_s() - at_s < 0.1

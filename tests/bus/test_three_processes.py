"""The window's two other processes as they really are: a simulated line, a record on disk, a reader beside it."""

from __future__ import annotations

import os
import queue
import signal
import sqlite3
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from buswalk.bus.analysis_link import AnalysisLink
from buswalk.bus.bus_link import LinkTold
from buswalk.bus.messages import Kept, Noticed, OpenPort, RecordTold, StartPing, StartSearch
from buswalk.bus.pace import Pace
from buswalk.bus.queries import Query, ReadCounts, ReadExchanges, ReadFacts, ReadFindings
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.record_reader import ExchangePage, RecordedExchange, RecordFacts
from buswalk.domain.search.events import Found, SearchPlan
from buswalk.domain.search.ping import Pinged, PingPlan
from buswalk.domain.visit.session_events import JobEnded
from buswalk.processes import BusChoice, analysis_process, bus_process
from tests.fakes.linked_process import LinkedProcess

PLAIN = SerialSettings.of(9600, "8N1")
OPEN = OpenPort("demo:greenhouse-first-day", PLAIN)
PING = StartPing(PingPlan(21, PLAIN, function=4, a_second=10.0))
WITHIN_S = 20.0
needs_signals = pytest.mark.skipif(sys.platform == "win32", reason="sends POSIX signals")


class Asked:
    """An analysis process whose answers are waited for."""

    def __init__(self) -> None:
        self.told: queue.Queue[LinkTold] = queue.Queue()
        self.link = AnalysisLink(analysis_process(), self.told.put, time.monotonic)

    def ask(self, path: str, query: Query) -> object:
        """Return the answer, or the sentence of a refusal."""
        came: list[object] = []
        self.link.ask(path, query, came.append, came.append)
        give_up_s = time.monotonic() + WITHIN_S
        while not came and time.monotonic() < give_up_s:
            self.link.deliver()
            time.sleep(0.005)
        assert came, "no answer"
        return came[0]


@pytest.fixture
def linked(tmp_path: Path) -> Iterator[LinkedProcess]:
    process = LinkedProcess(bus_process(BusChoice(Pace.VIRTUAL, str(tmp_path))))
    yield process
    process.close()


@pytest.fixture
def asked() -> Iterator[Asked]:
    process = Asked()
    yield process
    process.link.close()


def told(exchange: Exchange) -> tuple[object, ...]:
    """All but times, which the record keeps in whole nanoseconds."""
    one = exchange
    return (one.number, one.request_adu, one.settings, type(one.outcome), len(one.observations), one.received)


def test_what_was_shown_is_what_is_read(linked: LinkedProcess, asked: Asked) -> None:
    linked.link.send(OPEN)
    plan = SearchPlan(addresses=tuple(range(1, 30)), settings={PLAIN: 1.0}, listen_s=0.0)
    linked.link.send(StartSearch(plan))
    linked.wait_for(JobEnded)
    path = next(item.state.path for item in linked.items if isinstance(item, RecordTold))

    exchanges = asked.ask(path, ReadExchanges(ExchangePage(limit=10_000)))
    facts = asked.ask(path, ReadFacts())
    findings = asked.ask(path, ReadFindings())

    shown = [item.event for item in linked.items if isinstance(item, Kept)]
    assert isinstance(exchanges, tuple)
    assert [told(one.exchange) for one in exchanges if isinstance(one, RecordedExchange)] == [
        told(one.exchange) for one in shown if isinstance(one, ExchangeDone)
    ]
    assert isinstance(facts, RecordFacts)
    assert facts.is_simulated
    assert findings == tuple(one for one in shown if isinstance(one, Found))


def test_a_record_that_is_not_there_is_said_in_one_sentence(asked: Asked, tmp_path: Path) -> None:
    answer = asked.ask(str(tmp_path / "none.buswalk.sqlite"), ReadCounts())

    assert isinstance(answer, str)
    assert "none.buswalk.sqlite" in answer
    assert "\n" not in answer


@needs_signals
def test_a_killed_analysis_process_is_said_and_started_again(asked: Asked, tmp_path: Path) -> None:
    first = asked.link.process_id

    os.kill(first, signal.SIGKILL)
    told = asked.told.get(timeout=WITHIN_S)

    assert (told.is_running, asked.link.process_id != first) == (True, True)
    assert isinstance(asked.ask(str(tmp_path / "x"), ReadFacts()), str)


def kill_under_traffic(folder: Path, exchanges: int) -> None:
    """Kill the bus process in the midst of traffic, and hold its record to what was acknowledged."""
    linked = LinkedProcess(bus_process(BusChoice(Pace.VIRTUAL, str(folder))))
    linked.link.send(OPEN)
    linked.link.send(PING)
    for _ in range(exchanges):
        linked.wait_for(Pinged)
    path = next(item.state.path for item in linked.items if isinstance(item, RecordTold))

    os.kill(linked.link.process_id, signal.SIGKILL)
    told = linked.wait_for_news()
    notice = linked.wait_for(Noticed)
    acknowledged = {item.row for item in linked.items if isinstance(item, Kept)}
    linked.close()

    with sqlite3.connect(path) as record:
        (integrity,) = record.execute("PRAGMA integrity_check").fetchone()
        tables = " UNION ".join(f"SELECT row FROM {table}" for table in ("event", "exchange", "arrival"))
        rows = {row for (row,) in record.execute(tables)}
    assert integrity == "ok"
    assert told.is_running
    assert "did not end in order" in notice.sentence
    assert {row for row in acknowledged if row} <= rows


@needs_signals
@pytest.mark.parametrize("exchanges", [3, 120])
def test_a_killed_bus_process_loses_nothing_that_was_shown(tmp_path: Path, exchanges: int) -> None:
    kill_under_traffic(tmp_path, exchanges)


@needs_signals
@pytest.mark.long
@pytest.mark.parametrize("moment", range(20))
def test_a_bus_process_killed_at_any_moment_loses_nothing_that_was_shown(tmp_path: Path, moment: int) -> None:
    """Each its own session; the moments are spread by hand over a thousand exchanges."""
    kill_under_traffic(tmp_path, 1 + (moment * 53) % 1000)


@needs_signals
@pytest.mark.long
@pytest.mark.parametrize("moment", range(20))
def test_an_analysis_process_killed_at_any_moment_answers_again(
    linked: LinkedProcess, asked: Asked, moment: int
) -> None:
    """Under full traffic, in the midst of questions; the record is whole, and the bus process does not notice."""
    linked.link.send(OPEN)
    linked.link.send(PING)
    linked.wait_for(Pinged)
    path = next(item.state.path for item in linked.items if isinstance(item, RecordTold))
    for _ in range(moment):
        asked.ask(path, ReadExchanges(ExchangePage(limit=500)))
    asked.link.ask(path, ReadExchanges(ExchangePage(limit=10_000)), lambda _answer: None, lambda _sentence: None)

    os.kill(asked.link.process_id, signal.SIGKILL)

    assert asked.told.get(timeout=WITHIN_S).is_running
    assert isinstance(asked.ask(path, ReadFacts()), RecordFacts)
    assert linked.wait_for(Pinged)

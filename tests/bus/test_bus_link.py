"""A real second process: commands, stop, death, restart. Its line is simulated, its record in memory."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from buswalk.bus.messages import Done, Kept, OpenPort, Refused, StartPing, StartSearch
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.search.events import Found, SearchPlan
from buswalk.domain.search.ping import Pinged, PingPlan
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, PortClosed, PortOpened
from tests.fakes.linked_process import LinkedProcess
from tests.fakes.process_in_memory import die_at_once, run_paced, run_virtual
from tests.fakes.served_line import CHECKOUT, environment

PLAIN = SerialSettings.of(9600, "8N1")
OPEN = OpenPort("demo:greenhouse-first-day", PLAIN)
PING = StartPing(PingPlan(21, PLAIN, function=4, a_second=10.0))
needs_signals = pytest.mark.skipif(sys.platform == "win32", reason="sends POSIX signals")


@pytest.fixture
def linked() -> Iterator[LinkedProcess]:
    process = LinkedProcess(run_paced)
    yield process
    process.close()


def test_a_search_runs_over_there_and_is_told_here() -> None:
    linked = LinkedProcess(run_virtual)
    plan = SearchPlan(addresses=tuple(range(1, 60)), settings={PLAIN: 1.0}, listen_s=0.0)

    linked.link.send(OPEN)
    search = linked.link.send(StartSearch(plan))
    ended = linked.wait_for(JobEnded)
    done = linked.wait_for(Done)
    linked.close()

    events = [item.event for item in linked.items if isinstance(item, Kept)]
    found = {event.server_address for event in events if isinstance(event, Found)}
    assert (ended.end, done.command_id) == (JobEndKind.FINISHED, search)
    assert found == {11, 21, 22, 23, 41, 56}


def test_a_stop_overtakes_all_and_ends_the_job(linked: LinkedProcess) -> None:
    linked.link.send(OPEN)
    linked.link.send(PING)
    linked.wait_for(Pinged)

    linked.link.stop()

    assert linked.wait_for(JobEnded).end is JobEndKind.STOPPED


def test_what_needs_the_line_is_refused_while_a_job_runs(linked: LinkedProcess) -> None:
    linked.link.send(OPEN)
    linked.link.send(PING)
    linked.wait_for(Pinged)

    second = linked.link.send(PING)

    refused = linked.wait_for(Refused)
    assert (refused.command_id, refused.sentence) == (second, "a job is running (ping): stop it first")


def test_an_orderly_end_gives_the_port_back_and_says_so(linked: LinkedProcess) -> None:
    linked.link.send(OPEN)
    linked.wait_for(PortOpened)

    linked.close()

    assert linked.wait_for(PortClosed)


@needs_signals
def test_a_killed_process_is_said_started_again_and_has_its_port_back(linked: LinkedProcess) -> None:
    linked.link.send(OPEN)
    linked.link.send(PING)
    linked.wait_for(ExchangeDone)
    first = linked.link.process_id

    os.kill(first, signal.SIGKILL)

    told = linked.wait_for_news()
    assert told.is_running
    assert "started again" in told.sentence
    assert linked.wait_for(PortOpened).port == OPEN.port
    assert linked.link.process_id != first


def test_a_process_that_cannot_live_is_given_up_after_three_restarts() -> None:
    linked = LinkedProcess(die_at_once)

    news = [linked.wait_for_news() for _ in range(4)]
    linked.close()

    assert [one.is_running for one in news] == [True, True, True, False]
    assert "not started again" in news[-1].sentence


@needs_signals
def test_ctrl_c_is_for_the_window(linked: LinkedProcess) -> None:
    linked.link.send(OPEN)
    linked.wait_for(PortOpened)

    os.kill(linked.link.process_id, signal.SIGINT)
    linked.link.send(PING)

    assert linked.wait_for(Pinged)


ORPHAN = """
import os, signal
from tests.fakes.linked_process import LinkedProcess
from tests.fakes.process_in_memory import run_paced
from tests.bus.test_bus_link import OPEN, PING
from buswalk.domain.search.ping import Pinged
if __name__ == "__main__":
    linked = LinkedProcess(run_paced)
    linked.link.send(OPEN)
    linked.link.send(PING)
    linked.wait_for(Pinged)
    print(linked.link.process_id, flush=True)
    os.kill(os.getpid(), signal.SIGKILL)
"""


@pytest.mark.skipif(sys.platform != "linux", reason="looks into /proc")
def test_when_the_window_is_killed_the_process_ends_within_two_seconds(tmp_path: Path) -> None:
    script = tmp_path / "orphan.py"
    script.write_text(ORPHAN, encoding="utf-8")
    paths = os.pathsep.join(str(CHECKOUT / one) for one in ("app", "simulators", "."))

    window = subprocess.run(
        [sys.executable, str(script)],
        capture_output=True,
        text=True,
        timeout=30,
        env=environment() | {"PYTHONPATH": paths},
        check=False,
    )
    process_id = int(window.stdout)
    killed_s = time.monotonic()
    while time.monotonic() < killed_s + 5.0 and is_alive(process_id):
        time.sleep(0.01)

    assert time.monotonic() - killed_s < 2.0


def is_alive(process_id: int) -> bool:
    """Tell whether a process runs; a zombie of a dead parent does not."""
    try:
        return Path(f"/proc/{process_id}/stat").read_text(encoding="utf-8").rsplit(")", 1)[1].split()[0] != "Z"
    except OSError:
        return False

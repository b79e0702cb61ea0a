"""Commands record as the window does: before it is shown, in the same place, and without pretending."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from buswalk.bus.stop_request import StopRequest
from buswalk.domain.event_json import event_json
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.listening.events import Heard
from buswalk.domain.record_reader import EndedInOrder
from buswalk.domain.search.events import Found
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    PlanKept,
    PortFailed,
)
from simulated_line.reference_codec.check_sum import closed
from tests.fakes.command_in_process import Ran, handing, ran, ran_on, refusing
from tests.fakes.failing_line import FailingLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.read_record import events_of, facts_of, kinds_of, numbers_of, records_in
from tests.fakes.replaying_line import Lump, ReplayingLine
from tests.fakes.watched_output import watched

ASK = ("ask", "--port", "demo:greenhouse", "--clock", "virtual", "--address", "21")
FIND = ("find", "--port", "demo:greenhouse", "--clock", "virtual", "--alone", "--addresses", "21-22")
LISTEN = ("listen", "--port", "demo:another-client", "--clock", "virtual", "--seconds", "1")
LOST = ("find", "--port", "demo:adapter-unplugged", "--clock", "virtual", "--alone", "--addresses", "30-40")
GREENHOUSE = "demo/unsaved-greenhouse.buswalk.sqlite"
GONE = PortError("COM7", PortProblem.VANISHED, "COM7 is gone: plug the adapter in again")
ANSWER = closed(bytes.fromhex("25 03 02 00 D2"))
"""Address 37, one register of 210; the check sum is that of the simulated line's own codec."""


def job_end(path: Path) -> JobEnded:
    return next(one for one in events_of(path) if isinstance(one, JobEnded))


# What is in it


def test_a_question_is_a_session_of_its_own(data_folder: Path) -> None:
    ended = ran(*ASK)

    path = data_folder / GREENHOUSE
    facts = facts_of(path)
    assert ended.status == 0
    assert kinds_of(path)[0] == "session_started"
    assert [kind for kind in kinds_of(path) if kind not in ("plan_kept", "traits_learnt", "stray_arrival")][1:] == [
        "port_opened",
        "job_started",
        "exchange_done",
        "job_ended",
        "port_closed",
    ]
    assert job_end(path) == JobEnded(1, "ask", JobEndKind.FINISHED, "", job_end(path).at_s)
    assert (facts.is_simulated, facts.exchanges, len(facts.sessions)) == (True, 1, 1)
    assert isinstance(facts.sessions[0].end, EndedInOrder)


@pytest.mark.parametrize("line", [ASK, FIND, LISTEN, LOST])
def test_every_event_that_was_shown_is_in_the_record(line: tuple[str, ...], data_folder: Path) -> None:
    of_the_command = ("started", "recorded", "port_gone", "port_back", "planned_silent")

    ended = ran(*line, "--json")

    (name,) = records_in(data_folder)
    recorded = [event_json(one) for one in events_of(data_folder / name)]
    shown = [one for one in ended.events if one["event"] not in of_the_command]
    assert shown
    assert all(one in recorded for one in shown)


def test_each_exchange_of_a_search_is_in_it_and_devices_name_theirs(data_folder: Path) -> None:
    ended = ran(*FIND, "--json")

    numbers = numbers_of(data_folder / GREENHOUSE)
    found = [one for one in events_of(data_folder / GREENHOUSE) if isinstance(one, Found)]
    assert numbers == list(range(1, len(numbers) + 1))
    assert {one.server_address for one in found} == {21, 22}
    assert all(set(one.exchange_numbers) <= set(numbers) for one in found)
    assert ended.events[-1]["exchanges"] == len(numbers)


def test_a_lost_port_is_in_it_and_numbers_go_on_through_the_loss(data_folder: Path) -> None:
    ran(*LOST)

    (name,) = records_in(data_folder)
    kinds, numbers = kinds_of(data_folder / name), numbers_of(data_folder / name)
    lost, back = kinds.index("port_failed"), kinds.index("port_returned")
    assert lost + 1 == back
    assert "exchange_done" in kinds[:lost] and "exchange_done" in kinds[back:]
    assert numbers == list(range(1, len(numbers) + 1))


def test_the_planned_list_of_a_site_is_in_it(data_folder: Path) -> None:
    ran(*ASK)

    (kept,) = [one for one in events_of(data_folder / GREENHOUSE) if isinstance(one, PlanKept)]
    assert {one.server_address for one in kept.devices} == {11, 14, 21, 22, 23, 24, 31, 32, 41, 45, 51}


def on_real_port(*arguments: str, line: ReplayingLine, clock: JumpingClock, stop: StopRequest | None = None) -> Ran:
    return ran_on(handing(line, clock), *arguments, "--port", "COM7", stop=stop)


def test_a_real_port_is_recorded_among_the_visits(data_folder: Path) -> None:
    clock = JumpingClock()

    ended = on_real_port("ask", "--address", "37", line=ReplayingLine(clock, (Lump(0.01, ANSWER),)), clock=clock)

    (name,) = records_in(data_folder)
    assert ended.status == 0
    assert name.startswith("visits/") and name.endswith("-COM7.buswalk.sqlite")
    assert ended.recorded == f"recorded in {data_folder / name}\n"
    assert not facts_of(data_folder / name).is_simulated


@pytest.mark.parametrize("line", ["ask --address 37", "listen", "find --port-return 0 --addresses 1-3"])
def test_a_port_that_stays_away_is_in_it(line: str, data_folder: Path) -> None:
    clock = JumpingClock()

    on_real_port(*line.split(), line=FailingLine(clock, 2, GONE), clock=clock)

    (name,) = records_in(data_folder)
    failed = [one for one in events_of(data_folder / name) if isinstance(one, PortFailed)]
    assert [(one.port, one.sentence) for one in failed] == [("COM7", GONE.sentence)]
    assert job_end(data_folder / name).end is JobEndKind.PORT_LOST
    assert kinds_of(data_folder / name)[-1] == "port_closed"


@pytest.mark.parametrize("line", ["ask --address 37", "listen", "find"])
def test_a_stop_is_in_it(line: str, data_folder: Path) -> None:
    clock, stop = JumpingClock(), StopRequest()
    stop.set()

    on_real_port(*line.split(), line=ReplayingLine(clock), clock=clock, stop=stop)

    (name,) = records_in(data_folder)
    assert job_end(data_folder / name).end is JobEndKind.STOPPED
    assert isinstance(facts_of(data_folder / name).sessions[0].end, EndedInOrder)


def test_a_port_that_cannot_be_had_leaves_no_record(data_folder: Path) -> None:
    """A slip of the pen in the name of a port makes no file."""
    ended = ran_on(refusing(GONE), "listen", "--port", "COM77")

    assert (ended.status, ended.recorded, records_in(data_folder)) == (3, "", [])


# Before it is shown


@pytest.mark.parametrize("line", [ASK, FIND, LISTEN])
def test_an_event_is_kept_before_it_is_written(line: tuple[str, ...]) -> None:
    _, happened, _ = watched(*line, "--json")

    kept: list[dict[str, Any]] = []
    compared = 0
    for one in happened:
        if not isinstance(one, str):
            kept.append(event_json(one))
        elif (shown := json.loads(one))["event"] not in ("started", "recorded"):
            assert shown in kept
            compared += 1
    assert compared


def test_bytes_are_kept_before_people_read_them() -> None:
    """The burst is joined while more comes: its text is older than the end of the listening."""
    _, happened, _ = watched(*LISTEN)

    first_text = next(place for place, one in enumerate(happened) if isinstance(one, str))
    assert "25 03" in str(happened[first_text])
    assert any(isinstance(one, Heard) for one in happened[:first_text])


def test_numbers_go_on_from_what_the_record_says() -> None:
    _, happened, _ = watched(*ASK)

    assert [one.exchange.number for one in happened if isinstance(one, ExchangeDone)] == [41]

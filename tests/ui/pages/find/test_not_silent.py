"""Addresses that are neither silent nor found: bytes that are no reply came, or every address answers alike."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest

from buswalk.bus.messages import OpenPort, StartSearch, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import SearchPlan
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import JobStarted, PlanKept
from buswalk.ui.address_states import AddressState
from tests.bus.engine_bench import EngineBench
from tests.ui.pages.find.find_stage import ASKED_AS_PLAIN, PLAIN, FindStage, until

EVEN = SerialSettings.of(9600, "8E1")
CHATTERS = """
name = "chatters"
story = "Something sends a letter every 12 ms: each pause leaves room to ask, and is too short to end an exchange."
seed = 5

[[device]]
name = "example"
address = 37
settings = "9600 8N1"

[[chatter]]
name = "endless"
settings = "9600 8N1"
data = "41"
period_s = 0.012
"""
EVERYWHERE = SearchPlan(tuple(range(1, 13)), {ASKED_AS_PLAIN: 0.8, EVEN: 0.2}, listen_s=0.0)
PLANNED_5 = PlanKept((PlannedDevice(1, 5, "air, bay 1"),), 0.0)


@lru_cache(maxsize=1)
def everywhere_stream() -> tuple[StreamItem, ...]:
    """Return the stream of a search of a device that answers whatever the address, at 9600 without parity."""
    return tuple(EngineBench().run(OpenPort("demo:answers-at-every-address", PLAIN), StartSearch(EVERYWHERE)))


def played(stream: tuple[StreamItem, ...], plan: SearchPlan, *before: object) -> FindStage:
    """Return a stage that has begun this search itself and seen all of it."""
    begun = len(until(stream, JobStarted)) - 1
    return FindStage().play(stream[:begun]).keep(*before).searching(plan).play(stream[begun:])


def legend_of(stage: FindStage) -> dict[AddressState, str]:
    """Return the legend as far as it is shown."""
    return {one.state: one.words for one in stage.search.state.addresses.legend if one.is_shown}


@pytest.fixture(scope="module")
def chattering(tmp_path_factory: pytest.TempPathFactory) -> FindStage:
    """The search of a line that chatters without end has given up."""
    path: Path = tmp_path_factory.mktemp("line") / "chatters.toml"
    path.write_text(CHATTERS, encoding="utf-8")
    plan = SearchPlan(tuple(range(1, 100)), {ASKED_AS_PLAIN: 0.8, EVEN: 0.2}, listen_s=0.0)
    stream = tuple(EngineBench().run(OpenPort(f"sim:{path}", PLAIN), StartSearch(plan)))
    return played(stream, plan)


def test_where_the_line_chatters_no_address_is_called_silent(chattering: FindStage) -> None:
    """Not one request was followed by silence, so nothing can be said of those that were asked."""
    states = chattering.search.state.addresses.states
    legend = legend_of(chattering)

    disturbed = [address for address, state in enumerate(states) if state is AddressState.DISTURBED]
    assert disturbed
    assert AddressState.SILENT not in states
    assert legend[AddressState.DISTURBED] == f"disturbed {len(disturbed)}"
    assert legend[AddressState.SILENT] == "silent 0"
    assert AddressState.ALL_ALIKE not in legend


def test_a_disturbed_address_says_so_when_walked_to_and_to_a_reader(chattering: FindStage) -> None:
    address = chattering.search.state.addresses.states.index(AddressState.DISTURBED)

    chattering.search.focus_address(address)

    readout = chattering.search.state.addresses.readout
    assert readout.startswith(f"{address}: Bytes that are no reply came at 9600 8E1 and 9600 no parity so far")
    assert "ilent" not in readout
    assert chattering.search.spoken_address(address) == f"{address}, disturbed: bytes that are no reply came"


def test_where_every_address_answers_none_is_called_silent() -> None:
    """At the other setting all of them were silent: that is told of the setting, not of the address."""
    stage = played(everywhere_stream(), EVERYWHERE)

    stage.search.focus_address(8)

    addresses = stage.search.state.addresses
    legend = legend_of(stage)
    assert {addresses.states[one] for one in EVERYWHERE.addresses} == {AddressState.ALL_ALIKE}
    assert legend[AddressState.ALL_ALIKE] == "all alike 12"
    assert AddressState.DISTURBED not in legend
    assert addresses.readout.startswith("8: At 9600 no parity every address answers alike. Silent at 9600 8E1, asked")
    assert stage.search.spoken_address(8) == "8, answers as every address does"


def test_where_every_address_answers_no_planned_device_is_called_silent_either() -> None:
    stage = played(everywhere_stream(), EVERYWHERE, PLANNED_5)

    assert stage.search.state.addresses.states[5] is AddressState.ALL_ALIKE
    assert stage.search.board.planned_silent() == ()


def test_what_is_asked_anew_is_forgotten_and_the_rest_stays_alike() -> None:
    stage = played(everywhere_stream(), EVERYWHERE)

    stage.searching(SearchPlan((1, 2), {EVEN: 1.0}, listen_s=0.0))

    states = stage.search.board.states_of(range(1, 4))
    assert states == (AddressState.NOT_ASKED, AddressState.NOT_ASKED, AddressState.ALL_ALIKE)

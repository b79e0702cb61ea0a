"""Addresses, settings, found devices and what to do next, by a real stream of the greenhouse on its first day."""

from __future__ import annotations

import csv
import io

import pytest

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.search.events import (
    AnswersEverywhere,
    Found,
    FramingNotCarried,
    Identity,
    SettingsNotCarried,
)
from buswalk.domain.visit.session_events import (
    JobStarted,
)
from buswalk.ui.address_states import AddressState
from buswalk.ui.pages.find.found_words import functions_words
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.tones import Tone
from tests.ui.pages.find.find_stage import (
    ASKED_AS_PLAIN,
    FEW,
    PLAIN,
    asking,
    found,
    greenhouse,
    opened,
)

# Addresses


def test_addresses_stand_as_they_are_known() -> None:
    """Beside those of the plan of the search an unlikely one was asked, to see whether all answer."""
    addresses = greenhouse().search.state.addresses

    assert addresses.states[11] is AddressState.ANSWERED
    assert addresses.states[56] is AddressState.NOT_IN_PLAN
    assert addresses.states[24] is AddressState.PLANNED_SILENT
    assert addresses.states[90] is AddressState.SILENT
    assert addresses.states[150] is AddressState.NOT_ASKED
    assert addresses.states[0] is addresses.states[248] is AddressState.NO_DEVICE_ADDRESS
    assert [one.words for one in addresses.legend if one.is_shown] == [
        "answered 8",
        "not in plan 2",
        "in doubt 0",
        "planned but silent 3",
        "silent 31",
        "planned, to ask 0",
        "not asked 203",
    ]


def test_planned_ones_are_to_ask_until_the_search_is_through() -> None:
    addresses = greenhouse(Found, 3).search.state.addresses

    assert addresses.states[24] is AddressState.TO_ASK
    assert addresses.asked_now is not None
    assert addresses.title == "Addresses 1 – 247, asked at 9600 no parity now"


def test_the_focused_address_is_explained() -> None:
    stage = greenhouse()
    at_first = stage.search.state.addresses.readout
    words = {}
    for address in (56, 24, 90, 150, 0, 249):
        stage.search.focus_address(address)
        words[address] = stage.search.state.addresses.readout

    assert at_first == "Arrow keys walk the picture; the focused address is explained here."
    assert words[56] == "56: Answers at 4800 no parity, not in plan, confirmed 2 of 2."
    assert words[24] == "24: air, bay 2 south. Silent at 4 settings, asked with functions 03 and 04."
    assert words[90] == "90: Silent at 4 settings, asked with functions 03 and 04."
    assert words[150] == "150: Not asked yet."
    assert words[0] == "0: no address of a device. Requests to all go there."
    assert words[249] == "249: no address of a device. 248 and up are reserved."


def test_a_cell_is_spoken_with_its_setting() -> None:
    stage = greenhouse()

    assert stage.search.spoken_address(56) == "56, answered at 4800 no parity, not in plan"
    assert stage.search.spoken_address(24) == "24, planned but silent"


# Settings


def test_the_matrix_says_what_was_asked_and_found() -> None:
    """11 and 56 find the speed by themselves, and stay where they first hear good frames: here at 4800."""
    settings = greenhouse().search.state.settings

    rows = {row.speed: row.cells for row in settings.rows}
    assert settings.heads == ("8N1 and 8N2", "8E1", "8O1")
    assert [cell.words for cell in rows["9600"]] == ["4 found", "1 found", "left out"]
    assert rows["4800"][0].words == "3 found"
    assert rows["19200"][1].words == "2 found"
    assert rows["9600"][0].spoken == "9600, 8N1 and 8N2, all asked, 4 found"


def test_the_setting_being_asked_has_its_share() -> None:
    settings = greenhouse(ExchangeDone, 30).search.state.settings

    now = [cell for row in settings.rows for cell in row.cells if cell.is_asked_now]
    assert len(now) == 1
    assert now[0].words.split(" ")[1] == "%"
    assert now[0].share_asked is not None
    assert 0.0 < now[0].share_asked < 1.0


def test_before_the_start_nothing_is_asked_yet() -> None:
    settings = opened().search.state.settings

    rows = {row.speed: [cell.words for cell in row.cells] for row in settings.rows}
    assert rows["9600"] == ["not asked"] * 3
    assert rows["115200"] == ["not asked", "left out", "left out"]


# Found devices


def test_found_devices_stand_with_setting_turnaround_and_name() -> None:
    rows = {row.address: row for row in greenhouse().search.state.found.rows}

    assert list(rows) == [1, 11, 21, 22, 23, 31, 32, 41, 51, 56]
    assert rows[21].what == "air, bay 1 north"
    assert rows[21].setting == "9600 no parity"
    assert rows[21].doubt == "no doubt"
    assert rows[23].doubt == "function 04 only"
    assert rows[31].doubt == "needs a pause"
    assert rows[31].doubt_tone is Tone.INK2
    assert rows[1].what == "not identified"
    assert rows[56].doubt == "not in plan"
    assert rows[56].doubt_tone is Tone.DOUBT
    assert rows[56].what.startswith("Example Controls")
    assert rows[51].turnaround.endswith(" ms")
    assert 300 < float(rows[51].turnaround.removesuffix(" ms")) < 1000


def test_functions_that_were_asked_at_some_settings_only_are_told_apart() -> None:
    both, one, none = frozenset({3, 4}), frozenset({4}), frozenset[int]()

    assert functions_words([both, one]) == "with function 04, also at some of them with function 03"
    assert functions_words([frozenset({1}), both]) == "at some of them with functions 01, 03 and 04"
    assert functions_words([one, none]) == "at some of them with function 04"


def test_a_stranger_that_says_nothing_is_named_by_the_profile_it_fits() -> None:
    identity = Identity(profiles=("air-transmitter", "air-transmitter-2"))
    stage = asking(found(12, identity=identity))

    stage.search.act(Action(Act.EXPORT, "Export", "Ctrl+E"))

    ((_, text),) = stage.saved
    (row,) = csv.DictReader(io.StringIO(text))
    assert [one.what for one in stage.search.state.found.rows] == ["fits air-transmitter or air-transmitter-2"]
    assert row["fits_profile"] == "air-transmitter air-transmitter-2"


def test_the_list_goes_out_as_csv() -> None:
    stage = greenhouse()

    stage.search.act(Action(Act.EXPORT, "Export", "Ctrl+E"))

    ((name, text),) = stage.saved
    rows = list(csv.DictReader(io.StringIO(text)))
    assert name == "found devices"
    assert len(rows) == 10
    assert (rows[0]["address"], rows[0]["baud"], rows[0]["framing"]) == ("1", "4800", "no parity")
    assert rows[9]["plan"] == "not in plan"
    assert text.count("\r\n") == 11
    assert stage.search.state.sentence == "Saved as found devices.csv."


def test_text_of_a_device_is_no_formula_in_a_spreadsheet() -> None:
    identity = Identity(server_id=b"=HYPERLINK(1)")
    stage = opened().keep(JobStarted(1, "search", 0.0), found(11, identity=identity))

    stage.search.act(Action(Act.EXPORT, "Export", "Ctrl+E"))

    assert "'=HYPERLINK(1)" in stage.saved[0][1]


# What to do next


def test_silent_ones_and_doubts_come_with_a_button() -> None:
    stage = greenhouse()
    steps = stage.search.state.steps.steps

    assert steps[0].headline == "14, 24 and 45 are silent at every setting that was asked"
    assert steps[0].action == Action(Act.PING, "Ping 14", address=14)
    assert steps[-1].headline == "Try next: thorough at the speeds in use, 17:41"

    stage.search.act(steps[0].action)

    assert stage.pinged == [14]


@pytest.mark.parametrize(
    ("event", "headline"),
    [
        (SettingsNotCarried(PLAIN), "Nobody follows the speed of this port"),
        (FramingNotCarried((PLAIN,)), "This port carries no framing"),
    ],
)
def test_what_a_port_does_not_carry_is_said(event: object, headline: str) -> None:
    stage = opened().searching(FEW).keep(JobStarted(1, "search", 0.0), event)

    assert headline in [one.headline for one in stage.search.state.steps.steps]


def test_who_answers_everywhere_is_one_finding() -> None:
    stage = opened().searching(FEW)

    stage.keep(JobStarted(1, "search", 0.0), AnswersEverywhere(ASKED_AS_PLAIN, (11, 173, 211, 94), 5, 0))

    band = stage.search.state.band
    assert band is not None
    assert band.headline == "Something answers at every address at 9600 no parity"
    assert (
        band.words == "11, 94, 173 and 211 were tried. One device or program that ignores the address, not 247 devices."
    )


def test_a_gateway_that_refuses_everywhere_is_named() -> None:
    stage = opened().keep(JobStarted(1, "search", 0.0), AnswersEverywhere(ASKED_AS_PLAIN, (11, 173), 5, 0x0B))

    band = stage.search.state.band
    assert band is not None
    assert band.headline == "A gateway refuses at every address at 9600 no parity"


def test_a_quick_search_that_is_done_says_what_to_try_next_with_its_time() -> None:
    """A thorough one at the speeds of what was found: 4800, 9600 and 19200."""
    headlines = [one.headline for one in greenhouse().search.state.steps.steps]

    assert headlines[-1].startswith("Try next: thorough at the speeds in use, ")
    assert headlines[-1].split(", ")[1].replace(":", "").isdigit()

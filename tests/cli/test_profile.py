"""`profile`: what people and machines read of profiles, and what is said of files that are wrong."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.fakes.command_in_process import ran

WRONG = """\
title = "hall"
addresses = "register_addres"

[[point]]
name = "level"
table = "holding_register"
at = 1
"""


def test_the_list_names_shipped_profiles_and_ones_own(data_folder: Path) -> None:
    own = data_folder / "profiles"
    own.mkdir(parents=True)
    text = 'title = "mine"\naddresses = "register_address"\n[[point]]\nname = "a"\ntable = "input_registers"\nat = 0\n'
    (own / "heat-meter.toml").write_text(text, encoding="utf-8")

    ended = ran("profile", "list")

    assert (ended.status, ended.err) == (0, "")
    assert [line for line in ended.out.splitlines() if line.startswith("heat-meter ")] == [
        "heat-meter           mine  (yours)"
    ]
    assert len(ended.out.splitlines()) >= 8


def test_a_profile_is_shown_with_every_notation_of_its_registers() -> None:
    ended = ran("profile", "show", "heat-meter")

    assert (ended.status, ended.err) == (0, "")
    assert ended.out.splitlines() == [
        "heat-meter: heat meter: slow, energy with the low word first",
        "Invented, as on the demo sites. Takes up to a second to answer; at most 50 registers a request.",
        "known by: tells 'Example Meters' of itself",
        "known by: tells 'H-2' of itself",
        "at most 50 words in one request",
        "",
        "point             table              from 0  hex     from 1  5 digits  6 digits  "
        "type                         in       range     access",
        "heat_energy       input registers    0       0x0000  1       30001     300001    "
        "unsigned 32, low word first  Wh                 read",
        "flow_temperature  input registers    2       0x0002  3       30003     300003    "
        "signed 16                    0.01 °C  0 to 130  read",
        "heat_energy_copy  holding registers  0       0x0000  1       40001     400001    "
        "unsigned 32, low word first  Wh                 read",
    ]


def test_what_a_write_does_and_what_reading_clears_is_said() -> None:
    """Whoever reads the list sees the caution before the lock is opened."""
    ended = ran("profile", "show", "valve-actuator")

    lines = ended.out.splitlines()
    assert "start_travel_test: a write starts something" in lines
    assert "start_travel_test: caution: Drives the valve from end to end." in lines
    assert "events: reading clears it: it is only read when asked for by name" in lines
    assert "events: bit 0: blocked" in lines


def test_what_a_device_does_when_nobody_asks_it_is_said() -> None:
    fan, controller = ran("profile", "show", "fan-drive"), ran("profile", "show", "io-controller-p")

    assert "loss timer: stops with fault 81 after 10 s without a request, as delivered" in fan.out.splitlines()
    assert (
        "loss timer: lets its outputs fall back when nobody asks for as long as the point loss_time says"
        in controller.out.splitlines()
    )


def test_a_loss_timer_for_machines_tells_seconds_and_reaction() -> None:
    listed = json.loads(ran("profile", "show", "fan-drive", "--json").out.splitlines()[1])

    assert listed["loss_timer"] == {
        "kind": "loss_timer",
        "reaction": "stops with fault 81",
        "delivered": {"kind": "runs_for", "seconds": 10.0},
        "point": "",
    }


def test_numbers_for_machines_are_exact_texts() -> None:
    ended = ran("profile", "show", "air-transmitter", "--json")

    point = next(one for one in ended.events if one.get("name") == "air_temperature")
    assert (point["scale"], point["low"], point["high"], point["type"]) == ("0.1", "-40", "80", "int16")


def test_a_check_says_everything_that_is_wrong(tmp_path: Path) -> None:
    path = tmp_path / "hall.toml"
    path.write_text(WRONG, encoding="utf-8")

    ended = ran("profile", "check", str(path))

    assert ended.status == 1
    assert ended.out.splitlines() == [
        f"{path}:2: 'addresses' cannot be 'register_addres': did you mean 'register_address'?",
        f"{path}:6: 'point.1.table' cannot be 'holding_register': did you mean 'holding_registers'?",
    ]


def test_a_check_of_a_good_file_is_done(tmp_path: Path) -> None:
    path = tmp_path / "hall.toml"
    right = WRONG.replace('addres"', 'address"').replace('holding_register"', 'holding_registers"')
    path.write_text(right, encoding="utf-8")

    ended = ran("profile", "check", str(path))

    assert (ended.status, ended.out) == (0, f"{path}: nothing is wrong, 1 point\n")


def test_a_name_that_is_not_known_gets_the_nearest() -> None:
    ended = ran("profile", "show", "heatmeter")

    assert (ended.status, ended.err) == (2, "no profile is called 'heatmeter': did you mean 'heat-meter'?\n")


def test_a_file_can_be_shown_without_being_kept(tmp_path: Path) -> None:
    path = tmp_path / "hall.toml"
    path.write_text(WRONG, encoding="utf-8")

    ended = ran("profile", "show", str(path))

    assert ended.status == 2
    assert ended.err.count("hall.toml:") == 2


def test_the_schema_is_json() -> None:
    ended = ran("profile", "schema")

    schema = json.loads(ended.out)
    assert (ended.status, schema["required"]) == (0, ["title", "addresses", "point"])


@pytest.mark.parametrize("addresses", ["11-56", pytest.param("1-247", marks=pytest.mark.long)])
def test_a_search_names_the_profiles_that_fit(addresses: str) -> None:
    """On the demo sites: one type is known by what it tells, one by the words it holds, a soil probe by nothing."""
    line = ("--port", "demo:greenhouse", "--clock", "virtual", "--alone", "--addresses", addresses)
    found = ran("find", *line, "--json").events
    fitting = {one["server_address"]: one["identity"]["profiles"] for one in found if one["event"] == "found"}

    assert {name for names in fitting.values() for name in names} == {
        "air-transmitter",
        "fan-drive",
        "heat-meter",
        "io-controller-p",
        "weather-station",
    }
    assert all(len(names) <= 1 for names in fitting.values())

"""Loss timers beside `find`: named before another client's line is asked, counted in time. All in virtual time."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fakes.command_in_process import Ran, ran

CAUTIONS = [
    "What timers a device really has, only its documents and its own settings tell.",
    "Whoever is responsible for the plant says whether devices may be left unasked so long, and watches it meanwhile; "
    "local codes and the rules of the site come first.",
]


@pytest.fixture
def site(tmp_path: Path) -> str:
    """A fan drive and a meter whose client asks every 15 s: the drive's 10 s run out each time."""
    path = tmp_path / "fan.toml"
    path.write_text(
        'name = "fan"\nstory = "A client that asks too rarely."\nseed = 5\n'
        '[[device]]\nname = "fan"\naddress = 31\nsettings = "9600 8N1"\ntype = "fan_drive"\n'
        '[[device]]\nname = "meter"\naddress = 37\nsettings = "9600 8N1"\n'
        '[[client]]\nname = "control"\nsettings = "9600 8N1"\n'
        'requests = ["1F 03 00 00 00 02", "25 03 00 00 00 02"]\nperiod_s = 15.0\n',
        encoding="utf-8",
    )
    return f"sim:{path}"


def found(site: str, *arguments: str) -> Ran:
    return ran("find", "--port", site, "--clock", "virtual", "--settings", "9600 8N1", "--no-record", *arguments)


def test_a_line_that_is_alive_is_left_alone_and_its_timers_are_named(site: str) -> None:
    ended = found(site, "--device", "31=fan-drive")

    lines = ended.out.splitlines()
    at = next(i for i, line in enumerate(lines) if line.startswith("loss timers: "))
    assert "nothing was sent" in "".join(lines[:at])
    assert lines[at : at + 4] == [
        "loss timers: 31 drive of a fan: stops with fault 81 after 10 s without a request, as delivered",
        "  37 may have a loss timer that is not known here: no profile tells of its type",
        *CAUTIONS,
    ]


def test_the_timers_are_named_before_anything_is_sent(site: str) -> None:
    ended = found(site, "--device", "31=fan-drive", "--live-line", "--addresses", "100-110", "--json")

    named = ended.kinds.index("known_timers")
    assert ended.kinds[:named].count("found") == 0 and "search_progress" not in ended.kinds[:named]
    (timed,) = ended.events[named]["timed"]
    assert (timed["server_address"], timed["setting"]) == (31, {"kind": "runs_for", "seconds": 10.0})
    assert ended.events[named]["not_known"] == [37]


def test_what_runs_out_while_nobody_asks_is_said_on_the_error_stream(site: str) -> None:
    ended = found(site, "--device", "31=fan-drive", "--live-line", "--addresses", "100-247")

    near = (
        "31 drive of a fan: heard asked by nobody for 8 of 10 s: stops with fault 81 in 2 s unless its "
        "client asks again. Nothing is sent to hold it up"
    )
    assert near in ended.err
    assert "31 drive of a fan: heard asked by nobody for 10 s: see at the plant if it stops" in ended.err
    assert "37 " not in ended.err


def test_a_plan_tells_names_and_types(site: str, tmp_path: Path) -> None:
    plan = tmp_path / "plan.csv"
    plan.write_text("address,device,setting,type\n31,fan of bay 1,9600 8N1,fan-drive\n", encoding="utf-8")

    ended = found(site, "--plan", str(plan))

    assert "loss timers: 31 fan of bay 1: stops with fault 81 after 10 s without a request" in ended.out


@pytest.mark.parametrize(
    ("text", "says"), [("31", "write address and profile"), ("31=", "write address"), ("31=fan-drve", "did you mean")]
)
def test_a_device_that_names_no_profile_is_refused(site: str, text: str, says: str) -> None:
    ended = found(site, "--device", text)

    assert ended.status == 2
    assert says in ended.err

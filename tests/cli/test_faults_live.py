"""`faults --live`: a line watched, recorded and counted; what ends it, and with which status."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from buswalk.bus.parts import HeldLine
from buswalk.bus.stop_request import StopRequest
from buswalk.cli.parts import PortChoice
from buswalk.command_parts import standard_parts
from tests.fakes.command_in_process import Ran, ran, ran_on

WATCH = "faults --live --clock virtual --address"


def watched(port: str, rest: str) -> Ran:
    return ran(*f"{WATCH} {rest} --port demo:{port}".split())


def test_clean_devices_are_counted_with_their_limit() -> None:
    ended = watched("greenhouse", "21-24 --function 04 --seconds 8 --alone")

    assert (ended.status, ended.err) == (0, "")
    (line,) = ended.out.splitlines()
    assert line.startswith("clean: 21 (0 of ")
    assert line.count("below") == 4


def test_it_ends_as_soon_as_the_claim_is_proved() -> None:
    """299 clean ones prove 1 %; the last seconds, in which a late reply could come, are counted at the end."""
    ended = watched("slow-device", "37 --timeout 1 --accept 1% --alone --json")

    (checked,) = [one for one in ended.events if one["event"] == "claim_checked"]
    assert ended.status == 0
    assert checked["is_proved"]
    assert 299 <= checked["trials"] < 299 + 30
    assert ended.kinds[0] == "started"
    assert ended.kinds[-1] == "recorded"


def test_what_is_not_clean_is_said_as_it_happens_and_is_in_the_record(tmp_path: Path) -> None:
    """Each abnormal exchange once; the record counts the same, later."""
    file = tmp_path / "x.buswalk.sqlite"

    live = watched("random-noise", f"37 --seconds 30 --alone --json --record {file}")
    later = ran("faults", str(file), "--json", "--exchanges", "1000")

    (row,) = [one for one in live.events if one["event"] == "device_faults"]
    said = [one["exchange"]["number"] for one in live.events if one["event"] == "exchange_done"]
    kept = [one["exchange"]["number"] for one in later.events if one["event"] == "exchange_done"]
    assert said == kept
    assert len(said) == row["share"]["not_clean"] > 3
    assert [one for one in later.events if one["event"] == "device_faults"] == [row]


def test_late_replies_are_counted_as_late() -> None:
    ended = watched("slow-device", "37 --timeout 0.5 --seconds 60 --alone --json")

    (row,) = [one for one in ended.events if one["event"] == "device_faults"]
    assert row["late"] == ended.kinds.count("late_reply") > 10
    assert (row["no_reply"], row["asked"]) == (0, row["answered"] + row["late"])


def test_without_a_timeout_a_slow_device_is_waited_for() -> None:
    """Once the first late reply has shown how slow it is, nothing is late by our own choice any more."""
    ended = watched("slow-device", "37 --seconds 60 --alone --json")

    (row,) = [one for one in ended.events if one["event"] == "device_faults"]
    assert row["late"] == ended.kinds.count("late_reply") == 1
    assert row["asked"] == row["answered"] + 1


def test_an_unproved_claim_ends_with_one() -> None:
    ended = watched("truncated-reply", "37 --seconds 10 --accept 1% --alone")

    assert ended.status == 1
    assert "disproved" in ended.out.splitlines()[-1]


def test_where_another_client_lives_nothing_is_asked() -> None:
    ended = watched("another-client", "37")

    assert ended.status == 1
    assert ended.out.splitlines()[0].startswith("something is sending on this line; nothing was asked")
    assert watched("another-client", "37 --live-line --seconds 20").status == 0


def test_an_absent_device_is_said_once() -> None:
    ended = watched("greenhouse", "21,99 --function 04 --seconds 15 --alone")

    absent = [line for line in ended.out.splitlines() if " is absent since " in line]
    assert len(absent) == 1
    assert absent[0].startswith("99 is absent since ")
    assert absent[0].endswith(": silent 3 times in a row, and asked rarely from now on")
    assert ended.status == 0


def test_where_nobody_answers_the_status_is_one() -> None:
    assert watched("no-device", "37 --seconds 20 --alone").status == 1


def test_a_lost_port_leaves_what_was_counted() -> None:
    ended = watched("adapter-unplugged", "37 --alone")

    assert ended.status == 3
    assert ended.out.splitlines()[-1].startswith("clean: 37 (0 of ")
    assert ended.err.rstrip("\n").endswith("what was counted so far stands above")


@pytest.mark.parametrize(("rest", "status"), [("", 0), ("--seconds 600", 130)])
def test_a_stop_is_its_end_unless_a_time_was_set(tmp_path: Path, rest: str, status: int) -> None:
    """The stop comes while the line is opened: the first wait ends it, and nothing was answered."""
    stop = StopRequest()

    def open_line(choice: PortChoice) -> HeldLine:
        held = opening.open_line(choice)
        held.clock.sleep_until(1.0)
        stop.set()
        return held

    opening = standard_parts(io.StringIO(), io.StringIO(), stop)
    ended = ran_on(open_line, *f"{WATCH} 37 --port demo:slow-device --alone --no-record {rest}".split(), stop=stop)

    assert ended.status == (status or 1)


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("faults", "write which RECORD"),
        ("faults x.buswalk.sqlite --port COM7", "write which RECORD"),
        ("faults --live --port COM7", "--live needs --port and --address"),
        ("faults --live --address 37", "--live needs --port and --address"),
        ("faults x.buswalk.sqlite --live --port COM7 --address 37", "leave out RECORD"),
        ("faults --live --port COM7 --address 37 --function 06", "03 or 04"),
        ("faults --live --port COM7 --address 37 --line-percent 0", "from 1 to 100"),
        ("faults --live --port COM7 --address 37 --seconds 0", "write seconds"),
        ("faults --live --port COM7 --address 37 --framing 7E1", "8 data bits"),
    ],
)
def test_what_cannot_be_watched_is_one_sentence(line: str, words: str) -> None:
    ended = ran(*line.split())

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)
    assert words in ended.err

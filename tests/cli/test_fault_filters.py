"""`faults RECORD` under filters: what is counted and listed, and one sentence for what cannot be meant."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.observation import BytesBefore
from buswalk.domain.modbus.outcome import NoReply, ShortReply
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted, MarkMade, MarkSource
from tests.cli.test_faults import asked, made
from tests.fakes.command_in_process import ran
from tests.fakes.every_event import OTHER_SETTINGS, STARTED, exchange


@pytest.fixture
def file(tmp_path: Path) -> str:
    """From 08:12:31 on one request a second: 20 of 37 with two lost, ten in a search of 9, the last of them faster."""
    of_nine = [exchange(number, at_s=float(number), server_address=9) for number in range(21, 31)]
    of_nine[0] = replace(of_nine[0], outcome=ShortReply(b"\x09", 7))
    of_nine[1] = replace(of_nine[1], observations=(BytesBefore(b"\x00"),))
    of_nine[9] = replace(of_nine[9], outcome=NoReply(0.3), settings=OTHER_SETTINGS)
    return made(
        tmp_path / "visit.buswalk.sqlite",
        STARTED,
        *asked(20, frozenset({5, 12})),
        JobStarted(1, "search", 20.5),
        *(ExchangeDone(one) for one in of_nine),
        JobEnded(1, "search", JobEndKind.FINISHED, "", 31.0),
        MarkMade("fan on", MarkSource.USER, 4.5, EndsAt(10.5)),
        MarkMade("pump on", MarkSource.USER, 20.9),
    )


@pytest.mark.parametrize(
    ("options", "counted", "listed"),
    [
        ([], {37: (20, 2)}, [5, 12]),
        (["--searches"], {9: (10, 3), 37: (20, 2)}, [5, 12, 21, 22, 30]),
        (["--from", "2026-03-05", "--to", "2026-03-05"], {37: (20, 2)}, [5, 12]),
        (["--address", "37"], {37: (20, 2)}, [5, 12]),
        (["--kind", "short,stray", "--searches"], {9: (10, 3), 37: (20, 2)}, [21, 22]),
        (["--kind", "no-reply", "--address", "9", "--searches"], {9: (10, 3)}, [30]),
        (["--from", "2026-03-05 08:12:42", "--searches"], {9: (10, 3), 37: (10, 1)}, [12, 21, 22, 30]),
        (["--from", "08:12:42", "--to", "08:12:52.5", "--searches"], {9: (1, 1), 37: (10, 1)}, [12, 21]),
        (["--to", "11.5s"], {37: (11, 1)}, [5]),
        (["--job", "search"], {9: (10, 3)}, [21, 22, 30]),
        (["--settings", "19200 8N2", "--searches"], {9: (1, 1)}, [30]),
        (["--within", "1"], {37: (6, 1)}, [5]),
        (["--within", "1,2", "--searches"], {9: (10, 3), 37: (6, 1)}, [5, 21, 22, 30]),
    ],
)
def test_a_filter_counts_and_lists_what_it_says(
    file: str, options: list[str], counted: dict[int, tuple[int, int]], listed: list[int]
) -> None:
    """Line time 0 is 08:12:31.25."""
    ended = ran("faults", file, *options, "--json")

    rows = [one for one in ended.events if one["event"] == "device_faults"]
    assert {one["server_address"]: (one["asked"], one["share"]["not_clean"]) for one in rows} == counted
    done = [one["exchange"]["number"] for one in ended.events if one["event"] == "exchange_done"]
    assert (ended.status, done) == (0, listed)


def test_a_mark_without_end_is_said_and_goes_to_the_end_of_its_session(file: str) -> None:
    ended = ran("faults", file, "--inside", "2", "--searches")

    assert "mark 2 'pump on' has no end: it is taken to last to the end of its session" in ended.out.splitlines()
    (line,) = [one for one in ended.out.splitlines() if one.startswith("  9: ")]
    assert line.startswith("  9: 3 of 10 not clean inside, 0 of 0 outside")


def test_what_a_hand_did_is_a_moment_with_nothing_inside(tmp_path: Path) -> None:
    """Nobody has said that it lasted; written with a dash it is where a span begins."""
    path = made(tmp_path / "x.buswalk.sqlite", STARTED, *asked(20), MarkMade("fan on", MarkSource.HAND, 10.5))

    ended = ran("faults", path, "--inside", "1")
    behind = ran("faults", path, "--inside", "1-")

    assert "mark 1 'fan on' is a moment, and nothing lies inside of it" in ended.out
    assert "  37: 0 of 0 not clean inside, 0 of 20 outside" in ended.out
    assert "a moment" not in behind.out
    assert "  37: 0 of 10 not clean inside, 0 of 10 outside" in behind.out


def test_searches_are_left_out_and_that_is_said(file: str) -> None:
    """Nobody is expected at most of what a search asks; the page leaves them out by the same rule."""
    ended, machines = ran("faults", file), ran("faults", file, "--json")

    assert "searches are left out" in ended.out
    assert [one["names"] for one in machines.events if one["event"] == "jobs_left_out"] == [["search"]]
    assert "jobs_left_out" not in ran("faults", file, "--searches", "--json").kinds


def test_a_record_of_searches_only_says_how_they_are_counted(tmp_path: Path) -> None:
    path = made(tmp_path / "x.buswalk.sqlite", STARTED, JobStarted(1, "search", 0.5), *asked(3))

    ended = ran("faults", path)

    assert (ended.status, ended.err) == (
        1,
        "no exchange with such a device is in this record, searches left out (--searches counts them): "
        "nothing can be said\n",
    )


def test_a_mark_with_its_end_is_a_span(file: str) -> None:
    (inside,) = [
        one
        for one in ran("faults", file, "--inside", "1", "--address", "37", "--json").events
        if one["event"] == "inside_marks"
    ]

    assert (inside["not_clean_inside"], inside["inside"], inside["not_clean_outside"], inside["outside"]) == (
        1,
        6,
        1,
        14,
    )


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--kind", "odd"], "--kind 'odd' cannot be: write no-reply, damaged"),
        (["--from", "yesterday"], "is no time: write"),
        (["--from", "25:00"], "is no time: write"),
        (["--from", "09:00", "--to", "08:00"], "no session of this record lies between"),
        (["--job", "7"], "write names of jobs"),
        (["--settings", "9600"], "write speed and framing"),
        (["--within", "9"], "there is no mark 9"),
    ],
)
def test_a_filter_that_cannot_be_is_one_sentence(file: str, options: list[str], words: str) -> None:
    ended = ran("faults", file, *options)

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)
    assert words in ended.err


def test_a_live_watch_takes_no_filters_of_records() -> None:
    ended = ran("faults", "--live", "--port", "demo:slow-device", "--address", "37", "--within", "1")

    assert (ended.status, ended.err.count("\n")) == (2, 1)


def test_a_filter_that_fits_nothing_says_so(file: str) -> None:
    ended = ran("faults", file, "--job", "watch")

    assert ended.status == 1
    assert ended.err == "no exchange with such a device is in this record: nothing can be said\n"


def test_around_damage_the_rest_is_counted_under_a_filter_too(tmp_path: Path) -> None:
    """Three pages in its midst are overwritten, as a dying disk does."""
    path = tmp_path / "x.buswalk.sqlite"
    made(path, STARTED, *asked(2000))
    with path.open("r+b") as opened:
        opened.seek(path.stat().st_size // 2 // 4096 * 4096)
        opened.write(b"\xa5" * 4096 * 3)

    ended = ran("faults", str(path), "--from", "1s")

    assert ended.status == 1
    assert "cannot be read and are not counted" in ended.err
    assert 1000 < int(ended.out.splitlines()[1].split()[0]) < 2000

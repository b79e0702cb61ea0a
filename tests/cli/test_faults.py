"""`faults` and `record marks`: what people and machines read, what is proved, and what is said of bad records."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import NoReply, Outcome
from buswalk.domain.visit.session_events import MarkMade, MarkSource
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.asked_site import shipped_site
from tests.fakes.command_in_process import ran
from tests.fakes.every_event import EVERY_EVENT, NORMAL, SIMULATED, STARTED, exchange
from tests.fakes.watched_line import WatchedLine, example_plan

SILENT = NoReply(0.3)


def made(path: Path, *events: object, is_simulated: bool = False) -> str:
    """Return the file of a record with these events; those that know their time have it."""
    recorder = open_visit_record(path, is_simulated=is_simulated)
    for event in events:
        at_s = event.exchange.ended_s if isinstance(event, ExchangeDone) else getattr(event, "at_s", 0.0)
        recorder.keep(event, at_s)
    recorder.close()
    return str(path)


def asked(count: int, lost: frozenset[int] = frozenset(), server_address: int = 37) -> list[ExchangeDone]:
    """Return so many exchanges, one a second, those of these numbers lost."""

    def outcome(number: int) -> Outcome:
        return SILENT if number in lost else NORMAL

    return [ExchangeDone(exchange(one, outcome(one), float(one), server_address)) for one in range(1, count + 1)]


@pytest.fixture
def noisy(tmp_path: Path) -> str:
    """414 requests, one a second, 3 of them lost while a fan ran from 99.5 s to 109.5 s."""
    marks = [MarkMade("fan on", MarkSource.USER, 99.5), MarkMade("fan off", MarkSource.USER, 109.5)]
    events = asked(414, frozenset({100, 101, 105}))
    return made(
        tmp_path / "visit.buswalk.sqlite", STARTED, *events[:99], marks[0], *events[99:109], marks[1], *events[109:]
    )


def test_people_read_counts_limits_and_the_latest_ones(noisy: str) -> None:
    ended = ran("faults", noisy)

    assert (ended.status, ended.err) == (0, "")
    lines = ended.out.splitlines()
    assert lines[:2] == ["visit  (real line)", "414 exchanges with 1 device"]
    heads = "address asked answered refused no reply damaged short late other stray foreign not clean (95 % limit)"
    assert " ".join(lines[2].split()) == heads
    assert " ".join(lines[3].split()) == "37 414 411 0 3 0 0 0 0 0 0 3 of 414: 0.72 %, up to 1.9 %"
    assert "  longest outage: 2 s from 2026-03-05 08:14:11, 2 requests without an answer" in lines
    assert lines[-4:-1] == [
        "the latest 3 of 3 not clean:",
        "  100  2026-03-05 08:14:11  37  no reply in 300 ms",
        "  101  2026-03-05 08:14:12  37  no reply in 300 ms",
    ]


def test_clean_devices_are_one_line(tmp_path: Path) -> None:
    events = [*asked(412), *(ExchangeDone(exchange(1000 + one, server_address=9)) for one in range(299))]

    ended = ran("faults", made(tmp_path / "x.buswalk.sqlite", STARTED, *events))

    assert ended.out.splitlines()[2:] == ["clean: 9 (0 of 299: below 1.0 %), 37 (0 of 412: below 0.73 %)"]


def test_the_sums_of_the_table_agree_for_machines(tmp_path: Path) -> None:
    ended = ran("faults", made(tmp_path / "x.buswalk.sqlite", *EVERY_EVENT), "--searches", "--json")

    (row,) = [one for one in ended.events if one["event"] == "device_faults"]
    columns = [row[one] for one in ("answered", "refused", "no_reply", "damaged", "short", "late")]
    assert row["asked"] == 14 == sum(columns) + sum(one["count"] for one in row["other"])
    assert (row["share"]["not_clean"], row["share"]["trials"]) == (9, 11)
    assert ended.kinds[:3] == ["started", "record_facts", "device_faults"]
    assert set(ended.kinds[3:]) == {"exchange_done"}


@pytest.mark.parametrize(
    ("count", "lost", "accept", "status", "words"),
    [
        (2995, 0, "0.1%", 0, "0 of 2995 not clean; below 0.10 % is proved (95 %)"),
        (2994, 0, "0.1%", 1, "0 of 2994 not clean; below 0.10 % is not proved: 1 more request, all clean"),
        (299, 0, "1 %", 0, "0 of 299 not clean; below 1.0 % is proved (95 %)"),
        (299, 0, "0.01%", 1, "not proved: 29657 more requests, all clean, would prove it"),
        (473, 1, "1%", 0, "1 of 473 not clean; below 1.0 % is proved (95 %)"),
        (472, 1, "1%", 1, "not proved: 1 more request, all clean, would prove it"),
        (100, 9, "1%", 1, "disproved (95 %): over 4.7 % are not clean"),
    ],
)
def test_a_claim_is_proved_by_enough_requests_only(
    tmp_path: Path, count: int, lost: int, accept: str, status: int, words: str
) -> None:
    """299, 2995, 29 956 clean ones for 1, 0.1, 0.01 %; 473 with one lost; 9 of 100: at least 4.78 % (by scipy)."""
    events = asked(count, frozenset(range(10, 10 + 5 * lost, 5)))

    ended = ran("faults", made(tmp_path / "x.buswalk.sqlite", STARTED, *events), "--accept", accept, "--exchanges", "0")

    assert ended.status == status
    assert words in ended.out.splitlines()[-1]


def test_the_time_that_more_requests_take_is_said(tmp_path: Path) -> None:
    """One a second: 199 more for 1 % take 199 s, 3:19 min; 100 exchanges take 99.05 s."""
    ended = ran("faults", made(tmp_path / "x.buswalk.sqlite", STARTED, *asked(100)), "--accept", "1%", "--json")

    (checked,) = [one for one in ended.events if one["event"] == "claim_checked"]
    assert (checked["needed"], checked["more"], checked["is_proved"]) == (299, 199, False)
    assert checked["more_s"] == pytest.approx(199 * 99.05 / 100)


def test_a_claim_holds_only_if_it_holds_of_each_device(tmp_path: Path) -> None:
    few = [ExchangeDone(exchange(1000 + one, server_address=9)) for one in range(20)]
    file = made(tmp_path / "x.buswalk.sqlite", STARTED, *asked(299), *few)

    assert ran("faults", file, "--accept", "1%").status == 1
    assert ran("faults", file, "--accept", "1%", "--address", "30-40").status == 0


def test_marks_are_listed_with_the_numbers_that_spans_are_named_by(noisy: str) -> None:
    ended = ran("record", "marks", noisy)

    assert ended.out.splitlines() == [
        "   1  session 1  2026-03-05 08:14:10  no end: to the end of its session  fan on",
        "   2  session 1  2026-03-05 08:14:20  no end: to the end of its session  fan off",
    ]
    assert [one["words"] for one in ran("record", "marks", noisy, "--json").events[1:]] == ["fan on", "fan off"]


def test_inside_a_span_between_marks_is_told_from_outside(noisy: str) -> None:
    """3 of 10 inside, 0 of 404 outside: 120 of 11 741 064 ways to place three, 0.0010 %."""
    ended = ran("faults", noisy, "--inside", "1-2")

    (line,) = [one for one in ended.out.splitlines() if "inside," in one]
    assert line == (
        "  37: 3 of 10 not clean inside, 0 of 404 outside; odds ratio not finite, by chance in 0.0010 % of cases"
    )


def test_a_span_may_last_to_the_end(noisy: str) -> None:
    (inside,) = [
        one for one in ran("faults", noisy, "--inside", "2", "--json").events if one["event"] == "inside_marks"
    ]

    assert (inside["not_clean_inside"], inside["inside"], inside["outside"], inside["odds_ratio"]) == (0, 305, 109, 0.0)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--accept", "0.1"], "write a share with its sign"),
        (["--accept", "0%"], "write a share with its sign"),
        (["--accept", "100%"], "write a share with its sign"),
        (["--accept", "much%"], "write a share with its sign"),
        (["--inside", "fan"], "write numbers of marks"),
        (["--inside", "3-4"], "there is no mark 3"),
        (["--inside", "2-1"], "the earlier one first"),
        (["--address", "300"], "servers have 1 to 247"),
        (["--exchanges", "-1"], "whole number"),
    ],
)
def test_what_cannot_be_asked_is_one_sentence(noisy: str, options: list[str], words: str) -> None:
    ended = ran("faults", noisy, *options)

    assert (ended.status, ended.out, ended.err.count("\n")) == (2, "", 1)
    assert words in ended.err


def test_a_record_without_exchanges_proves_nothing(tmp_path: Path) -> None:
    file = made(tmp_path / "x.buswalk.sqlite", STARTED)

    ended = ran("faults", file, "--accept", "1%")

    assert ended.status == 1
    assert ended.err == "no exchange with such a device is in this record: nothing can be said\n"
    assert ran("record", "marks", file).out == "no mark in this record\n"


def test_a_damaged_record_is_counted_as_far_as_it_can_be_read(tmp_path: Path) -> None:
    """Three pages in its midst are overwritten, as a dying disk does: the rest is counted, the loss is said."""
    path = tmp_path / "x.buswalk.sqlite"
    made(path, STARTED, *asked(2000))
    size = path.stat().st_size
    with path.open("r+b") as opened:
        opened.seek(size // 2 // 4096 * 4096)
        opened.write(b"\xa5" * 4096 * 3)

    ended = ran("faults", str(path))

    assert ended.status == 1
    assert "cannot be read and are not counted" in ended.err
    assert ended.err.count("\n") == 1
    counted = int(ended.out.splitlines()[1].split()[0])
    assert 1000 < counted < 2000


def test_what_is_no_record_is_wrong_use(tmp_path: Path) -> None:
    (tmp_path / "x.txt").write_text("not a record", encoding="utf-8")

    ended = ran("faults", str(tmp_path / "x.txt"))

    assert (ended.status, ended.err.count("\n")) == (2, 1)


def test_a_simulated_watch_is_said_to_be_no_evidence(tmp_path: Path) -> None:
    """The whole way: a line of known truth, watched, recorded, counted."""
    watched = WatchedLine(shipped_site("truncated-reply"), example_plan(), 30)
    file = made(tmp_path / "x.buswalk.sqlite", SIMULATED, *watched.line_events, is_simulated=True)

    ended = ran("faults", file, "--accept", "1%")

    assert ended.out.splitlines()[0] == "x  (simulated line: no evidence)"
    assert " ".join(ended.out.splitlines()[3].split()).startswith("37 30 0 0 0 0 30 0 ")
    assert ended.status == 1

"""`record show|export|check`: what people and machines read of a record, and what is said of one that is none."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path

import pytest

from buswalk.cli import record as record_command
from buswalk.domain.line_events import ExchangeDone, LateReply
from buswalk.domain.record_export import ARRIVAL_COLUMNS, EXCHANGE_COLUMNS
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.command_in_process import ran
from tests.fakes.every_event import EVERY_EVENT, HEARD, OBSERVED, REPLY, SIMULATED, STARTED, STRAY, exchange

DOCUMENT = Path(record_command.__file__).with_name("record_export.md")
LAST_S = 2 + len(EVERY_EVENT)
"""Events are kept one a second from 3 s on."""


@pytest.fixture
def file(tmp_path: Path) -> str:
    """A record with every event there is."""
    return made(tmp_path / "2026-03-05-ttyUSB0.buswalk.sqlite", EVERY_EVENT)


def made(path: Path, events: tuple[object, ...], *, is_simulated: bool = False) -> str:
    recorder = open_visit_record(path, is_simulated=is_simulated)
    for number, event in enumerate(events):
        recorder.keep(event, 3.0 + number)
    recorder.close()
    return str(path)


def damaged(path: Path) -> str:
    """A record whose later pages are overwritten, as a dying disk does."""
    events = (STARTED, *(ExchangeDone(exchange(number, at_s=float(number))) for number in range(1, 2001)))
    made(path, events)
    size = path.stat().st_size
    with path.open("r+b") as opened:
        opened.seek(size // 2 // 4096 * 4096)
        opened.write(b"\xa5" * 4096 * 3)
    return str(path)


def rows(text: str) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(text)))


def test_show_says_what_there_is_at_a_glance(file: str) -> None:
    ended = ran("record", "show", file)

    assert (ended.status, ended.err) == (0, "")
    assert ended.out.splitlines() == [
        "2026-03-05-ttyUSB0  (real line)",
        "14 exchanges in 1 session",
        f"  session 1: 2026-03-05 08:12 for {LAST_S} s, 14 exchanges",
        "found: 1 device",
        "  37  9600 8E1         function 03   Window drive   in doubt: wants a pause before each request; "
        "a second answer follows: perhaps two devices at this address",
        "  every address answers at 19200 no parity",
        "   9  19200 no parity  something answers, never whole",
        "outcomes:",
        "        2 answered",
        "        1 refused",
        "        1 no reply, and 1 more answered late",
        "        1 damaged",
        "        1 cut short",
        "        1 foreign reply",
        "        1 wrong content",
        "        1 own echo only",
        "        1 damaged echo",
        "        1 to all",
        "        1 not sent",
        "        1 stopped",
        "marks:",
        "  2026-03-05 08:12:32 tightened terminal 4 — „links“",
    ]


def test_a_simulated_record_is_said_to_be_no_evidence(tmp_path: Path) -> None:
    file = made(tmp_path / "x.buswalk.sqlite", (SIMULATED, ExchangeDone(exchange(1))), is_simulated=True)

    shown, exported = ran("record", "show", file), ran("record", "export", file)

    assert shown.out.splitlines()[0] == "x  (simulated line: no evidence)"
    assert [row["simulated"] for row in rows(exported.out)] == ["yes"]


def test_a_session_without_end_is_said(tmp_path: Path) -> None:
    path = tmp_path / "x.buswalk.sqlite"
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)

    ended = ran("record", "show", str(path))

    assert "session 1: 2026-03-05 08:12 still running, or ended by force, 0 exchanges" in ended.out
    recorder.close()


def test_show_for_machines_has_facts_first(file: str) -> None:
    ended = ran("record", "show", file, "--json")

    assert ended.kinds[:2] == ["started", "record_facts"]
    assert {"found", "unclear", "answers_everywhere", "outcome_count", "mark_made", "plan_kept"} <= set(ended.kinds)
    assert ended.events[1]["sessions"][0]["end"] == {"kind": "ended_in_order", "at_s": float(LAST_S)}


def test_exchanges_are_exported_with_all_their_columns(file: str) -> None:
    ended = ran("record", "export", file)

    exported = rows(ended.out)
    assert ended.status == 0
    assert [row["number"] for row in exported] == [str(number) for number in range(1, 15)]
    first = exported[0]
    assert tuple(first) == EXCHANGE_COLUMNS
    assert (first["simulated"], first["settings"], first["server_address"]) == ("no", "9600 8E1", "37")
    assert (first["begin_s"], first["sent_not_before_s"]) == ("0.1", "0.109166667")
    assert first["wall_time"] == "2026-03-05T08:12:31.350+01:00"
    assert first["request"] == "2503006b0001f332"
    assert (first["outcome"], first["received"]) == ("normal_reply", REPLY.hex())
    assert (first["turnaround_not_less_s"], first["turnaround_not_more_s"]) == ("-0.0005", "0.0213")


def test_a_late_reply_stands_beside_the_outcome_that_it_does_not_change(file: str) -> None:
    exported = rows(ran("record", "export", file).out)

    assert [(row["outcome"], row["late"]) for row in exported if row["late"]] == [
        ("no_reply", "credited"),
        ("echo_only", "doubtful"),
    ]


def test_a_request_that_did_not_leave_has_no_sending_times(file: str) -> None:
    row = rows(ran("record", "export", file).out)[10]

    assert (row["outcome"], row["begin_s"], row["sent_not_before_s"]) == ("not_sent", "1.1", "")
    assert json.loads(row["outcome_detail"])["reason"] == "line_not_quiet"


def test_every_byte_is_exported(file: str) -> None:
    exported = rows(ran("record", "export", file, "--rows", "arrivals").out)

    assert tuple(exported[0]) == ARRIVAL_COLUMNS
    assert [row["bytes"] for row in exported if row["exchange"] == "13"] == ["00" + REPLY[:2].hex(), REPLY[2:].hex()]
    assert [row["bytes"] for row in exported if not row["exchange"]] == [STRAY.data.hex(), "", HEARD.data.hex()]
    marks = next(row["marks"] for row in exported if row["exchange"] == "13")
    assert json.loads(marks)[0] == {"kind": "byte_mark", "offset": 2, "mark": "parity_error"}
    assert OBSERVED.arrivals[0].marks[0].mark.value == "parity_error"


def test_every_event_is_exported_as_json_lines(file: str) -> None:
    ended = ran("record", "export", file, "--rows", "events")

    assert ended.kinds[0] == "record_facts"
    assert [one["row"] for one in ended.events[1:]] == list(range(1, len(EVERY_EVENT) + 1))
    late = [one for one in ended.events if one["event"] == "late_reply"]
    assert late[0]["credit"] == "doubtful"
    assert len(late) == sum(isinstance(one, LateReply) for one in EVERY_EVENT)
    assert list(ended.events[3])[:5] == ["event", "row", "session", "kept_at_s", "wall_time"]


@pytest.mark.parametrize("kind", ["exchanges", "arrivals", "events"])
def test_an_export_into_a_file_is_the_same_text(file: str, tmp_path: Path, kind: str) -> None:
    printed = ran("record", "export", file, "--rows", kind).out

    ended = ran("record", "export", file, "--rows", kind, "--to", str(tmp_path / "out.txt"))

    assert (ended.status, ended.out) == (0, "")
    assert (tmp_path / "out.txt").read_text(encoding="utf-8") == printed
    assert printed.isascii()


def test_an_export_never_takes_the_place_of_a_file(file: str, tmp_path: Path) -> None:
    (tmp_path / "mine.csv").write_text("mine", encoding="utf-8")

    ended = ran("record", "export", file, "--to", str(tmp_path / "mine.csv"))

    assert ended.status == 4
    assert ended.err == f"{tmp_path / 'mine.csv'} is there already: choose another name, or delete it first\n"
    assert (tmp_path / "mine.csv").read_text(encoding="utf-8") == "mine"


def test_an_export_that_cannot_be_written_is_said(file: str, tmp_path: Path) -> None:
    ended = ran("record", "export", file, "--to", str(tmp_path / "nowhere" / "x.csv"))

    assert ended.status == 4
    assert "cannot be written" in ended.err


def test_a_whole_record_is_said_to_be_whole(file: str) -> None:
    ended = ran("record", "check", file)

    assert (ended.status, ended.out) == (0, "whole: 14 exchanges, and everything in it agrees\n")
    assert ran("record", "check", file, "--json").events[-1] == {
        "event": "record_checked",
        "name": "2026-03-05-ttyUSB0",
        "exchanges": 14,
        "problems": [],
    }


def test_damage_is_found_and_what_can_be_read_is_exported(tmp_path: Path) -> None:
    file = damaged(tmp_path / "x.buswalk.sqlite")

    checked, exported = ran("record", "check", file), ran("record", "export", file)

    assert checked.status == 1
    assert checked.out.startswith("the file is damaged: ")
    assert "'record export' writes what can still be read" in checked.out
    assert exported.status == 1
    assert "cannot be read and are left out" in exported.err
    left = [int(row["number"]) for row in rows(exported.out)]
    lost = int(exported.err.split()[0])
    assert 1000 < len(left) < 2000
    assert len(left) + lost == 2000
    assert left[0] == 1 and left[-1] == 2000


@pytest.mark.parametrize("act", ["show", "export", "check"])
def test_what_is_no_record_is_wrong_use_and_one_sentence(tmp_path: Path, act: str) -> None:
    other = tmp_path / "letter.txt"
    other.write_text("Dear Sir or Madam, " * 50, encoding="utf-8")

    missing, foreign = ran("record", act, str(tmp_path / "none")), ran("record", act, str(other))

    assert (missing.status, foreign.status) == (2, 2)
    assert missing.err == f"{tmp_path / 'none'} is not there: check the name\n"
    assert foreign.err == f"{other} is no record of buswalk: choose a file ending in .buswalk.sqlite\n"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("record", "'record --help' shows"),
        ("record scan x", "invalid choice: 'scan'"),
        ("record show", "FILE"),
        ("record export x --rows frames", "--rows 'frames' cannot be"),
        ("record export x --json", "--json"),
    ],
)
def test_wrong_use_is_said(line: str, words: str) -> None:
    ended = ran(*line.split())

    assert ended.status == 2
    assert words in ended.err


@pytest.mark.parametrize(
    ("heading", "columns"),
    [("`--rows exchanges` (CSV)", EXCHANGE_COLUMNS), ("`--rows arrivals` (CSV)", ARRIVAL_COLUMNS)],
)
def test_every_column_is_documented_in_its_order(heading: str, columns: tuple[str, ...]) -> None:
    section = DOCUMENT.read_text(encoding="utf-8").split(f"## {heading}")[1].split("\n## ")[0]

    assert tuple(re.findall(r"^\| `(\w+)` \|", section, re.MULTILINE)) == columns

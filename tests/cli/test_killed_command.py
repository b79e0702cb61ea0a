"""A search that is ended by force in its midst: what its reader had seen is in the record, and the next one goes on."""

from __future__ import annotations

import json
import sys
from contextlib import closing
from pathlib import Path

import pytest

from buswalk.domain.event_json import event_json
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.record_reader import NotEnded
from buswalk.storage.data_folders import data_folders
from buswalk.storage.record_files import begin_anew
from buswalk.storage.visit_record.reader import open_record
from tests.fakes.command_in_process import ran
from tests.fakes.commands import running

SEARCH = ("find", "--port", "demo:greenhouse", "--alone", "--addresses", "20-40", "--settings", "9600 8N1")
END_WITHIN_S = 20.0


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no such signal")
def test_a_search_that_is_killed_loses_nothing_that_was_shown(data_folder: Path) -> None:
    """By SIGKILL, behind its second device; at the pace of the demo line it would go on for a while."""
    shown: list[str] = []
    with running("buswalk.main", *SEARCH, "--json") as process:
        assert process.stdout is not None
        while sum('"event": "found"' in line for line in shown) < 2:
            shown.append(process.stdout.readline())
            assert shown[-1], "the search ended before it was killed"
        process.kill()
        shown += process.stdout.read().splitlines(keepends=True)
        process.wait(END_WITHIN_S)

    path = data_folder / "demo" / "unsaved-greenhouse.buswalk.sqlite"
    with closing(open_record(path)) as reader:
        events = [one.event for one in reader.events(1, 10_000)]
        session, problems = reader.facts().sessions[0], reader.problems()
    whole = [json.loads(line) for line in shown if line.endswith("\n")]
    kept = [event_json(one) for one in events]
    numbers = [one.exchange.number for one in events if isinstance(one, ExchangeDone)]
    assert all(one in kept for one in whole if one["event"] != "started")
    assert {number for one in whole if one["event"] == "found" for number in one["exchange_numbers"]} <= set(numbers)
    assert numbers == list(range(1, len(numbers) + 1))
    assert (session.end, problems) == (NotEnded(), ())


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no such signal")
def test_the_next_command_goes_on_behind_a_killed_one_and_the_window_says_it(data_folder: Path) -> None:
    with running("buswalk.main", *SEARCH, "--json") as process:
        assert process.stdout is not None
        while '"event": "found"' not in process.stdout.readline():
            assert process.poll() is None
        process.kill()
        process.wait(END_WITHIN_S)
    said = begin_anew(data_folders(str(data_folder), {}))

    ended = ran("ask", "--port", "demo:greenhouse", "--clock", "virtual", "--address", "21", "--json")

    (number,) = [one["exchange"]["number"] for one in ended.events if "exchange" in one]
    assert "did not end in order" in said[0] and "unsaved-greenhouse" in said[0]
    assert (ended.status, ended.err) == (0, "")
    assert ended.events[-1]["exchanges"] == number > 1


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no such signal")
def test_a_write_that_is_killed_between_its_looks_is_told_by_the_record(data_folder: Path) -> None:
    """By SIGKILL behind the first look: old value, new value and what was read are there, and how it ended."""
    line = "--port demo:slow-device --alone --address 37 --register 0 230 --confirm 230 --reason test --json"
    with running("buswalk.main", "write", *line.split()) as process:
        assert process.stdout is not None
        while '"event": "read_back"' not in process.stdout.readline():
            assert process.poll() is None
        process.kill()
        process.wait(END_WITHIN_S)

    told = ran("record", "writes", str(data_folder / "demo" / "unsaved-slow-device.buswalk.sqlite"))

    assert told.status == 1
    write, _, changed = told.out.splitlines()
    assert "215 (00D7) -> 230 (00E6), held so far, then broken off (test)" in write
    assert changed == "  holding register 0 of 37: 215 (00D7) -> 230 (00E6)"

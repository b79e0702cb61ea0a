"""The real window, its real processes, the demo line: driven by keys, read as a user reads it. Offscreen."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from buswalk.domain.record_reader import EndedInOrder, found_devices
from buswalk.domain.visit.session_events import JobEnded, JobEndKind
from buswalk.storage.visit_record.reader import open_record
from tests.fakes.window_run import stands, window_run

VIRTUAL = ("--clock", "virtual")


def test_a_stranger_presses_the_one_button_finds_devices_and_pauses(tmp_path: Path) -> None:
    steps = ("until Search", "read", "key F5", "until Found devices: 10", "read", "key Esc", "until Continue", "read")
    to_switches = ("key F7", "until Set this instead", "read")
    first, found, paused, explained = window_run(tmp_path, *steps, *to_switches, options=VIRTUAL)

    assert stands(first, "This is the built-in demo line: a greenhouse on its first day. Open a real port with Ctrl+O.")
    assert stands(first, "11 devices planned, none asked yet")
    assert stands(found, "not in plan")
    assert stands(found, "Pause")
    assert stands(paused, "Paused.")
    assert stands(paused, "Search anew")
    assert stands(explained, "To controller of bay 2")
    assert stands(explained, "Board counts from the other end")
    (path,) = (tmp_path / "demo").glob("*.buswalk.sqlite")
    reader = open_record(path)
    addresses = {one.server_address for one in found_devices(reader.findings())}
    ends = [one.event for one in reader.events(1, 10_000) if isinstance(one.event, JobEnded)]
    session = reader.facts().sessions[-1]
    reader.close()
    assert addresses == {1, 11, 21, 22, 23, 31, 32, 41, 51, 56}
    assert [one.end for one in ends] == [JobEndKind.STOPPED]
    assert isinstance(session.end, EndedInOrder)


def test_a_port_that_is_not_there_is_said_and_the_window_stays_of_use(tmp_path: Path) -> None:
    (screen,) = window_run(tmp_path, "until There is no port", "read", options=("--port", "/dev/no-such-port"))

    assert stands(screen, "There is no port /dev/no-such-port: plug the adapter in, or see which ports there are.")
    assert stands(screen, "nobody: no port")
    assert stands(screen, "Other port")


@pytest.mark.skipif(sys.platform == "win32", reason="kills by signal")
def test_a_killed_holder_of_the_line_is_said_and_the_port_is_opened_again(tmp_path: Path) -> None:
    steps = ("until Search", "key F5", "until Found devices: ", "kill line", "until ended unexpectedly", "read")
    later = ("until none asked yet", "read")
    died, again = window_run(tmp_path, *steps, "key Ctrl+1", *later, options=VIRTUAL)

    assert stands(died, "The part of buswalk that holds the line ended unexpectedly and was started again")
    assert stands(again, "demo line")
    assert stands(again, "this laptop")


@pytest.mark.skipif(sys.platform == "win32", reason="kills by signal")
def test_a_killed_reader_of_the_record_is_said_and_the_search_goes_on(tmp_path: Path) -> None:
    steps = ("until Search", "key F5", "until Pause", "kill record", "until ended unexpectedly", "read")
    (died,) = window_run(tmp_path, *steps, options=VIRTUAL)

    assert stands(died, "The part of buswalk that reads the record ended unexpectedly and was started again")
    assert stands(died, "Pause")
    assert stands(died, "Job: Search")

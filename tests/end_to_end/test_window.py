"""The real window, its real processes, the demo line: driven by keys, read as a user reads it. Offscreen."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from buswalk.domain.readdressing.events import ReaddressEnd, ReaddressEnded
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


def test_the_probe_is_moved_from_1_to_45_by_keys_alone(tmp_path: Path) -> None:
    """As delivered it is at 1; its list says which register sets the address, the engineer says to which."""
    found = ("until Search", "key F5", "until 1 | 4800 no parity", "key F5", "until Continue")
    chosen = ("key Ctrl+G", "key 1", "key Return", "until 1: Answers", "key F2", "until Device 1 at 4800 8N1")
    listed = ("key F6", "key Tab", "key S", "key O", "key I", "key L", "key F2", "key F2", "key Ctrl+A")
    typed = ("key 4", "key 5", "until By the list: server address (register 100) = 45", "read", "key Ctrl+U")
    unlocked = ("key W", "key H", "key Y", "key Return", "until Writing is open", "key 4", "key 5", "key Return")
    ended = ("until 1 to 45: it is there, at once.", "read", "key F4", "until moved from 1", "read")

    before, moved, on_find = window_run(tmp_path, *found, *chosen, *listed, *typed, *unlocked, *ended, options=VIRTUAL)

    assert stands(before, "Then it is looked for in 2 places: 1 at 4800 8N1, 45 at 4800 8N1.")
    assert stands(moved, "1 at 4800 8N1 | silent")
    assert stands(moved, "45 at 4800 8N1 | answers")
    assert stands(moved, "Device 1 at 4800 8N1 | 1 → 45")
    assert stands(on_find, "45 | 4800 no parity")
    (path,) = (tmp_path / "demo").glob("*.buswalk.sqlite")
    reader = open_record(path)
    ends = [one.event for one in reader.events(1, 10_000) if isinstance(one.event, ReaddressEnded)]
    reader.close()
    assert [(one.end, str(one.where[0])) for one in ends] == [(ReaddressEnd.MOVED_AT_ONCE, "45 at 4800 8N1")]

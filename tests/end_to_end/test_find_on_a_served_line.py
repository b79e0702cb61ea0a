"""`find` over RFC 2217 and a pseudo terminal, on a simulated line in another process; ports are lost and come back."""

from __future__ import annotations

import re
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.fakes.commands import buswalk, running
from tests.fakes.served_line import ServedLine

needs_pseudo_terminals = pytest.mark.skipif(sys.platform == "win32", reason="this system has no pseudo terminals")
LONG = ("--addresses", "1-247", "--settings", "9600 8N1,19200 8E1")


@pytest.fixture
def network() -> Iterator[ServedLine]:
    served = ServedLine("greenhouse", "--rfc2217")
    yield served
    served.close()


@pytest.mark.parametrize("addresses", ["1-14,21,31", pytest.param("1-40", marks=pytest.mark.long)])
def test_two_speeds_over_rfc_2217_are_told_apart(network: ServedLine, addresses: str) -> None:
    """The greenhouse has 11, 12, 21 and 22 at 9600 without parity, 31 and 32 at 19200 with even parity."""
    where = ("--addresses", addresses, "--settings", "9600 8N1,19200 8E1")
    ended = buswalk("find", "--port", network.name, "--alone", *where, "--json")

    found = {(one["server_address"], one["settings"]) for one in ended.events if one["event"] == "found"}
    assert ended.status == 0, ended.err
    assert {address for address, settings in found if settings.startswith("9600")} >= {11, 21}
    assert (31, "19200 8E1") in found
    assert not {address for address, settings in found if settings == "19200 8E1"} & {11, 21}


@needs_pseudo_terminals
def test_a_second_find_on_the_same_port_is_refused_in_one_sentence() -> None:
    served = ServedLine("greenhouse", "--pty")
    try:
        with running("buswalk.main", "find", "--port", served.name, "--alone", *LONG) as first:
            assert first.stdout is not None
            first.stdout.readline()
            ended = buswalk("find", "--port", served.name, "--alone")
    finally:
        served.close()

    assert ended.status == 3
    assert ended.out.strip() == ""
    assert re.fullmatch(r"\S+ is in use by another program: close that program, then open it again\n", ended.err)


@needs_pseudo_terminals
@pytest.mark.parametrize("addresses", ["1-20", pytest.param("1-60", marks=pytest.mark.long)])
def test_a_server_that_is_killed_and_comes_back_costs_nothing_that_was_found(tmp_path: Path, addresses: str) -> None:
    link = str(tmp_path / "line")
    served = ServedLine("greenhouse", "--pty", "--link", link)
    few = ("--alone", "--settings", "9600 8N1", "--planned", "11", "--addresses", addresses)
    with running("buswalk.main", "find", "--port", link, *few) as find:
        assert find.stdout is not None
        assert find.stderr is not None
        lines = [next(find.stdout) for _ in range(2)]
        served.kill()
        served.close()
        said = find.stderr.readline()
        again = ServedLine("greenhouse", "--pty", "--link", link)
        rest = find.stdout.read()
        said_again = find.stderr.readline()
        status = find.wait(60.0)
        again.close()

    everything = "".join(lines) + rest
    assert "what was found so far stands" in said
    assert "the search goes on" in said_again
    assert status == 0
    assert len(re.findall(r"^  11 ", everything, re.MULTILINE)) == 1
    assert "Traceback" not in everything


@needs_pseudo_terminals
def test_a_server_that_stays_away_ends_the_search_with_what_was_found() -> None:
    served = ServedLine("greenhouse", "--pty")
    with running("buswalk.main", "find", "--port", served.name, "--alone", *LONG, "--port-return", "1") as find:
        assert find.stdout is not None
        assert find.stderr is not None
        first = next(line for line in find.stdout if re.match(r" +\d+  \d+ ", line))
        served.kill()
        served.close()
        status = find.wait(30.0)
        said = find.stderr.read()

    assert first
    assert status == 3
    assert "Traceback" not in said

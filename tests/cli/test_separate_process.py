"""Commands in a process of their own, as users start them: closed pipes, Ctrl-C, full disks, servers that die."""

from __future__ import annotations

import signal
import subprocess
import sys
from pathlib import Path

import pytest

from tests.fakes.commands import buswalk, running, simulators
from tests.fakes.served_line import CHECKOUT, ServedLine, environment

END_WITHIN_S = 20.0
LONGEST_SEARCH_S = 60.0
FULL_DEVICE = Path("/dev/full")
ENDLESS = ("listen", "--port", "demo:another-client", "--clock", "virtual", "--seconds", "600")


def after_first_line(module: str, *arguments: str) -> tuple[int, str]:
    """Read one line and close the pipe, as `head -1` does; return exit status and error stream."""
    with running(module, *arguments) as process:
        assert process.stdout is not None and process.stderr is not None
        assert process.stdout.readline()
        process.stdout.close()
        err = process.stderr.read()
        return process.wait(END_WITHIN_S), err


@pytest.mark.parametrize(
    ("module", "arguments"),
    [
        ("buswalk.main", ENDLESS),
        ("buswalk.main", (*ENDLESS, "--json")),
        ("buswalk.main", ("find", "--port", "demo:greenhouse", "--clock", "virtual", "--alone")),
        ("simulated_line.command", ("list",)),
    ],
)
def test_a_reader_that_has_enough_ends_it_quietly(module: str, arguments: tuple[str, ...]) -> None:
    assert after_first_line(module, *arguments) == (0, "")


@pytest.mark.skipif(not FULL_DEVICE.exists(), reason="this system has no device that is always full")
def test_a_full_disk_is_a_sentence() -> None:
    with FULL_DEVICE.open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "buswalk.main", "ask", "--port", "demo:greenhouse", "--address", "21", "--json"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            env=environment(),
            cwd=CHECKOUT,
            timeout=END_WITHIN_S,
            check=False,
        )

    assert done.returncode == 4
    recorded, sentence = done.stderr.splitlines()
    assert recorded.startswith("recorded in ")
    assert sentence.startswith("what was found cannot be written: no space left")


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no such signal")
def test_ctrl_c_ends_a_search_in_order() -> None:
    """At the demo's pace it would take a minute."""
    with running("buswalk.main", "find", "--port", "demo:greenhouse", "--alone") as process:
        assert process.stdout is not None and process.stderr is not None
        first = process.stdout.readline()
        process.send_signal(signal.SIGINT)
        rest, err = process.communicate(timeout=END_WITHIN_S)

    assert process.returncode == 130
    assert first.strip() and "answers" not in rest
    recorded, sentence = err.splitlines()
    assert recorded.startswith("recorded in ")
    assert sentence.startswith("stopped; found so far: ")


@pytest.mark.parametrize(
    "arguments", [("show", "no-such-line"), ("serve", "greenhouse"), ("serve", "hall", "--rfc2217", "-1")]
)
def test_wrong_use_of_the_simulated_line_is_a_sentence(arguments: tuple[str, ...]) -> None:
    ended = simulators(*arguments)

    assert (ended.status, ended.out) == (2, "")
    assert ended.err.count("\n") == 1 and "Traceback" not in ended.err


@pytest.mark.skipif(sys.platform == "win32", reason="this system has no pseudo terminals")
def test_a_port_in_use_is_refused_and_the_first_user_is_not_disturbed() -> None:
    served = ServedLine("greenhouse", "--pty")
    try:
        with running("buswalk.main", "listen", "--port", served.name, "--seconds", "60", "--json") as first:
            assert first.stdout is not None
            assert "started" in first.stdout.readline()

            second = buswalk("find", "--port", served.name, "--alone")

            assert first.poll() is None
    finally:
        served.close()
    assert (second.status, second.out) == (3, "")
    assert second.err == f"{served.name} is in use by another program: close that program, then open it again\n"


def test_a_server_that_dies_under_a_search_is_waited_for_and_the_search_goes_on() -> None:
    """Over RFC 2217: killed in mid-search, started again on the same network port."""
    served = ServedLine("greenhouse", "--rfc2217")
    network_port = served.name.rpartition(":")[2]
    arguments = ["find", "--alone", "--addresses", "21-24", "--settings", "9600 8N1", "--port-return", "20"]
    with running("buswalk.main", *arguments, "--port", served.name, "--json") as process:
        assert process.stdout is not None
        lines = [process.stdout.readline() for _ in range(2)]
        served.kill()
        served.close()
        lines += [process.stdout.readline()]
        while lines[-1] and "port_gone" not in lines[-1]:
            lines.append(process.stdout.readline())
        again = ServedLine("greenhouse", "--rfc2217", network_port)
        try:
            out, err = process.communicate(timeout=LONGEST_SEARCH_S)
        finally:
            again.close()
    lines += out.splitlines()
    assert process.returncode == 0
    assert "waiting up to 20 s" in err and "is back after" in err and err.count("\n") == 3
    assert sum('"event": "port_back"' in line for line in lines) == 1
    found = sorted(int(line.split('"server_address": ')[1].split(",")[0]) for line in lines if '"found"' in line)
    assert found == [21, 22, 23, 24]

"""Every way a command can end: its exit status, and one sentence that says what, where and what to do."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.bus.stop_request import StopRequest
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.jobs.asking.write_guard import NO_CONSENT
from tests.fakes.command_in_process import Ran, handing, ran, ran_on, refusing
from tests.fakes.failing_line import FailingLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.replaying_line import ReplayingLine

GREENHOUSE = "--port demo:greenhouse --clock virtual"
AT_9600 = ["--settings", "9600 8N1"]
PYTHON_WORDS = ("Traceback", "invalid literal", "could not convert", "Error(", "NoneType", "is not a valid")


def is_one_plain_sentence(text: str) -> bool:
    return text.count("\n") == 1 and text.endswith("\n") and not any(word in text for word in PYTHON_WORDS)


@pytest.mark.parametrize(
    ("line", "status"),
    [
        (f"ask {GREENHOUSE} --address 21", 0),
        (f"ask {GREENHOUSE} --address 21 --function 11", 0),  # an exception reply is an answer
        (f"ask {GREENHOUSE} --address 99", 1),
        (f"ask {GREENHOUSE} --address 21 --function 10 --register 0 --values 1", 0),
        (f"find {GREENHOUSE} --alone --addresses 20-22", 0),
        (f"find {GREENHOUSE} --alone --addresses 99", 1),
        (f"find {GREENHOUSE} --alone --addresses 20-25 --planned 21,22", 0),
        (f"find {GREENHOUSE} --alone --addresses 20-25 --planned 21,25", 1),  # a planned one is silent
        ("find --port demo:another-client --clock virtual --addresses 36-38", 1),  # a living line
        ("find --port demo:another-client --clock virtual --addresses 36-38 --live-line", 0),
        ("find --port demo:answers-at-every-address --clock virtual --alone --addresses 1-9 --planned 3", 0),
        ("listen --port demo:another-client --clock virtual --seconds 3", 0),
        (f"listen {GREENHOUSE}", 1),
        ("--version", 0),
        ("--help", 0),
        ("ask --help", 0),
    ],
)
def test_what_a_command_came_to_is_its_exit_status(line: str, status: int, capsys: pytest.CaptureFixture[str]) -> None:
    arguments = [*line.split(), *(AT_9600 if line.startswith("find") else [])]

    ended = ran(*arguments)

    assert (ended.status, ended.err) == (status, "")
    assert ended.out or capsys.readouterr().out


WRONG_USE = [
    ("", "there is no command ''"),
    ("scan --port x", "there is no command 'scan': write one of ports, ask, read, watch, find, listen, quiet"),
    ("--port x find", "write the command first, then its options: find --port ..."),
    ("ask --address 1", "required: --port; 'ask --help' shows"),
    ("ask --port x", "whom to ask is missing: write --address"),
    ("ask --port x --address 0", "--address '0' cannot be: write a whole number from 1 to 247"),
    ("ask --port x --address 248", "--address '248' cannot be: write a whole number from 1 to 247"),
    ("ask --port x --address one", "--address 'one' cannot be"),
    ("ask --port x --address 1 --framing 8X1", "framing '8X1' cannot be: write data bits 7 or 8"),
    ("ask --port x --address 1 --framing 7E1", "cannot carry RTU"),
    ("ask --port x --address 1 --baud 0", "--baud '0' cannot be: write a whole number from 50 to 4000000"),
    ("ask --port x --address 1 --timeout nan", "--timeout 'nan' cannot be: write seconds from 0.001 to 600"),
    ("ask --port x --address 1 --timeout inf", "--timeout 'inf' cannot be"),
    ("ask --port x --address 1 --timeout -inf", "--timeout '-inf' cannot be"),
    ("ask --port x --address 1 --timeout -1", "--timeout '-1' cannot be"),
    ("ask --port x --address 1 --timeout 0", "--timeout '0' cannot be"),
    ("ask --port x --address 1 --pause -0.1", "--pause '-0.1' cannot be: write seconds from 0 to 600"),
    ("ask --port x --address 1 --retries -1", "--retries '-1' cannot be"),
    ("ask --port x --address 1 --values a --function 06", "--values 'a' cannot be: write 0 to 65535"),
    ("ask --port x --address 1 --function 08 --sub-function 05", "sub-function 05 is reserved"),
    ("ask --port x --address 1 --function 99", "--function '99' cannot be: write it in hex, 00 to 7F"),
    ("ask --port x --address 1 --register 65536", "--register '65536' cannot be"),
    ("ask --port x --address 1 --clock fast", "--clock 'fast' cannot be: write paced or virtual"),
    ("ask --port x --address 1 --speed 9600", "unrecognized arguments: --speed"),
    (f"ask {GREENHOUSE} --address 21 --function 08 --sub-function 01", "not sent: "),
    ("find --port x --wait nan", "--wait 'nan' cannot be: write seconds from 0.001 to 60"),
    ("find --port x --port-return -5", "--port-return '-5' cannot be: write seconds from 0 to 86400"),
    ("find --port x --addresses 40-1", "--addresses 40 to 1 run backward"),
    ("find --port x --addresses 1-40 --planned 50", "--planned 50 is not among --addresses"),
    ("find --port x --planned 3 --plan list.csv", "--plan FILE and --planned LIST both say what is planned"),
    ("find --port x --plan nowhere.csv", "nowhere.csv"),
    ("find --port x --settings 9600", "write speed and framing"),
    ("listen --port x --seconds nan", "--seconds 'nan' cannot be: write seconds from 0.1 to 86400"),
    ("listen --port x --seconds 1e9", "--seconds '1e9' cannot be"),
    ("listen --port demo:no-such-line", "no scenario is called 'no-such-line'"),
    ("listen --port sim:nowhere.toml", "nowhere.toml is not there: check the name"),
]


@pytest.mark.parametrize(("line", "words"), WRONG_USE)
def test_wrong_use_is_said_in_one_sentence(line: str, words: str) -> None:
    ended = ran(*line.split())

    assert (ended.status, ended.out) == (2, "")
    assert words in ended.err and is_one_plain_sentence(ended.err)


def test_a_planned_list_says_who_must_answer(tmp_path: Path) -> None:
    """21 answers, 25 is silent; an address outside those asked would never be."""
    plan = tmp_path / "plan.csv"
    plan.write_text("address,name,board\n21,air north,dials-hex\n25,air south,dials-hex\n", encoding="utf-8")
    options = (*GREENHOUSE.split(), "--alone", *AT_9600, "--plan", str(plan))

    whole, outside = ran("find", *options, "--addresses", "20-25"), ran("find", *options, "--addresses", "20-22")

    assert whole.status == 1
    assert "planned, but silent: 25" in whole.out.splitlines()
    assert outside.status == 2
    assert "--plan 25 is not among --addresses" in outside.err


def test_a_broken_scenario_is_said_with_file_and_line(tmp_path: Path) -> None:
    """All its mistakes at once, a line each."""
    path = tmp_path / "broken.toml"
    path.write_text(
        'name = "broken"\nstory = "x"\nseeed = 5\n[[device]]\nname = "one"\naddress = 300\nsettings = "9600"\n'
    )

    ended = ran("find", "--port", f"sim:{path}")

    assert (ended.status, ended.out) == (2, "")
    assert f"{path}:3" in ended.err and f"{path}:6" in ended.err and "Traceback" not in ended.err


@pytest.mark.parametrize("problem", list(PortProblem))
def test_a_port_that_cannot_be_had_is_no_line(problem: PortProblem) -> None:
    ended = ran_on(refusing(PortError("COM7", problem, "COM7 cannot be had: do this")), "listen", "--port", "COM7")

    assert (ended.status, ended.out) == (3, "")
    assert ended.err.startswith("COM7 cannot be had: do this") and is_one_plain_sentence(ended.err)
    assert ("the command 'ports' lists them" in ended.err) is (problem is PortProblem.MISSING)


@pytest.mark.parametrize("port", ["", "no-such-port"])
def test_a_missing_port_names_the_command_that_lists_them(port: str) -> None:
    ended = ran("listen", "--port", port)

    assert ended.status == 3
    assert "the command 'ports' lists them" in ended.err and is_one_plain_sentence(ended.err)


def lost_at(read: int, *arguments: str) -> Ran:
    clock = JumpingClock()
    gone = PortError("COM7", PortProblem.VANISHED, "COM7 is gone: plug the adapter in again")
    line = FailingLine(clock, read, gone)
    return ran_on(handing(line, clock), *arguments, "--port", "COM7")


def test_a_port_that_vanishes_under_a_question_is_no_line() -> None:
    ended = lost_at(2, "ask", "--address", "37")

    assert (ended.status, ended.err) == (3, "COM7 is gone: plug the adapter in again\n")


def test_a_port_that_vanishes_while_listening_is_no_line() -> None:
    ended = lost_at(20, "listen")

    assert (ended.status, ended.err) == (3, "COM7 is gone: plug the adapter in again\n")


def test_a_search_waits_for_its_port_and_says_so_once() -> None:
    ended = lost_at(20, "find", "--port-return", "7", "--addresses", "1-3")

    assert ended.status == 3
    assert ended.err.splitlines() == [
        "COM7 is gone: plug the adapter in again; what was found so far stands, "
        "waiting up to 7 s for it to come back (Ctrl-C ends it)",
        "COM7 is gone: plug the adapter in again; it did not come back in 7 s; nothing was found before",
    ]


def test_a_search_that_may_not_wait_ends_at_once() -> None:
    ended = lost_at(20, "find", "--port-return", "0", "--addresses", "1-3")

    assert (ended.status, ended.err) == (3, "COM7 is gone: plug the adapter in again; nothing was found before\n")


def test_a_port_that_comes_back_lets_the_search_go_on() -> None:
    ended = ran(*["find", "--port", "demo:adapter-unplugged", "--clock", "virtual", "--alone", "--addresses", "30-40"])

    assert ended.status == 0
    assert "is back after 10 s: the search goes on" in ended.err
    assert "  37  9600 no parity" in ended.out and "1 device answers" in ended.out


@pytest.mark.parametrize("command", ["ask --address 37", "find", "listen"])
def test_a_stop_ends_any_command_in_order(command: str) -> None:
    clock, stop = JumpingClock(), StopRequest()
    stop.set()

    ended = ran_on(handing(ReplayingLine(clock), clock), *command.split(), "--port", "COM7", stop=stop)

    assert ended.status == 130
    assert ended.err.startswith("stopped") and is_one_plain_sentence(ended.err)


def test_a_stopped_listening_is_summed_up_all_the_same() -> None:
    clock, stop = JumpingClock(), StopRequest()
    line = ReplayingLine(clock)
    line.play(1.0, bytes.fromhex("25 03 00 00 00 02 C2 EF"))

    class StoppingClock(JumpingClock):
        """Stops at 2 s."""

        def now_s(self) -> float:
            if clock.now_s() >= 2.0:
                stop.set()
            return clock.now_s()

    ended = ran_on(handing(line, StoppingClock()), "listen", "--port", "COM7", "--seconds", "60", stop=stop)

    assert ended.status == 130
    assert "request: address 37" in ended.out and "traffic in 2 s" in ended.out


def test_a_write_does_not_leave_on_a_real_line() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)

    ended = ran_on(
        handing(line, clock, NO_CONSENT),
        *["ask", "--port", "COM7", "--address", "37", "--function", "06", "--register", "10", "--values", "210"],
    )

    assert ended.status == 2
    assert ended.err.startswith("not sent: function 06 changes or disturbs a device")
    assert line.writes == []


def test_a_mistake_of_ours_is_a_sentence_and_a_kept_report() -> None:
    ended = ran_on(refusing(RuntimeError("never thought of")), "listen", "--port", "COM7")

    where = ended.err.split("the details are in ")[1].split(": please")[0]
    report = Path(where).read_text(encoding="utf-8")
    Path(where).unlink()
    assert ended.status == 1 and is_one_plain_sentence(ended.err)
    assert "never thought of" in report


def test_no_ports_are_said_with_what_to_do() -> None:
    ended = ran_on(refusing(RuntimeError()), "ports")

    assert (ended.status, ended.err) == (1, "")
    assert ended.out.startswith("no serial port: plug an adapter in")

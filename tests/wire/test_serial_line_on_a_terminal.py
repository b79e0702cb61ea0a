"""SerialLine on a real pseudo terminal of this system: opening, setting, exchanging, losing it."""

from __future__ import annotations

import os
import stat
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from buswalk.domain.line.line_traits import LatencySource, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.wire.mark_decoder import MarkDecoder
from buswalk.wire.serial_line import SerialLine, open_serial_line
from buswalk.wire.system_clock import SystemClock
from tests.fakes.terminal_pair import TerminalPair

if sys.platform == "win32":
    pytest.skip("there are no pseudo terminals here", allow_module_level=True)

import grp

from buswalk.wire.linux_terminal import is_known, set_terminal, terminal_state
from buswalk.wire.posix_marks import MARKING, set_marks

SETTINGS = SerialSettings.of(19_200, "8E1")
needs_linux = pytest.mark.skipif(sys.platform != "linux", reason="asks the Linux kernel")


@pytest.fixture
def pair() -> Iterator[TerminalPair]:
    pair = TerminalPair()
    yield pair
    pair.close()


@pytest.fixture
def line(pair: TerminalPair) -> Iterator[SerialLine]:
    line = opened(pair.name)
    yield line
    line.close()


def opened(port: str, options: PortOptions | None = None, settings: SerialSettings = SETTINGS) -> SerialLine:
    return open_serial_line(port, settings, options or PortOptions(), SystemClock())


def refusal(port: str, options: PortOptions | None = None) -> PortError:
    with pytest.raises(PortError) as caught:
        opened(port, options)
    return caught.value


def test_a_pseudo_terminal_says_what_it_does_not_carry(line: SerialLine) -> None:
    traits = line.traits

    assert not traits.carries_framing
    assert not traits.spends_wire_time
    assert traits.mark_reporting is MarkReporting.NOT_AVAILABLE
    assert (traits.latency_s, traits.latency_source) == (0.0, LatencySource.EXACT)


def test_parity_never_surfaces_as_a_refusal_however_often_it_is_asked_for(pair: TerminalPair) -> None:
    """pyserial alone raises termios.error(22) at the second opening with parity E: measured on Debian 12."""
    for _ in range(3):
        line = opened(pair.name)
        for framing in ("8E1", "8O1", "8E1", "8N2", "7E1", "8N1"):
            line.apply(SerialSettings.of(19_200, framing))
            line.apply(SerialSettings.of(9600, framing))
        line.close()

    assert line.settings.framing == "8N1"


@needs_linux
@pytest.mark.parametrize("baud_rate", [1200, 9600, 19_200, 115_200, 9601, 76_800, 250_000])
def test_the_far_end_sees_the_speed_asked_for(pair: TerminalPair, line: SerialLine, baud_rate: int) -> None:
    line.apply(SerialSettings.of(baud_rate, "8N1"))

    assert terminal_state(pair.near).baud_rate == baud_rate


def test_a_request_and_its_reply_pass(pair: TerminalPair, line: SerialLine) -> None:
    clock = SystemClock()
    line.write(bytes.fromhex("01 03 00 00 00 01 84 0A"))
    assert pair.received(8) == bytes.fromhex("01 03 00 00 00 01 84 0A")
    pair.send(bytes.fromhex("01 83 02 C0 F1"))

    arrival = line.read(clock.now_s() + 1.0)

    assert arrival is not None
    assert arrival.data == bytes.fromhex("01 83 02 C0 F1")


def test_what_waited_before_opening_is_not_of_this_session(pair: TerminalPair) -> None:
    pair.send(b"stale")

    line = opened(pair.name)

    assert line.discard() == ()
    line.close()


def test_a_second_opening_is_refused_as_busy(pair: TerminalPair, line: SerialLine) -> None:
    error = refusal(pair.name)

    assert error.problem is PortProblem.BUSY
    assert error.sentence == f"{pair.name} is in use by another program: close that program, then open it again"


def test_a_port_given_back_can_be_had_again(pair: TerminalPair) -> None:
    opened(pair.name).close()

    again = opened(pair.name)

    again.close()


def test_a_terminal_whose_far_end_went_has_vanished_for_every_verb(pair: TerminalPair, line: SerialLine) -> None:
    pair.vanish()
    problems = []

    for verb in (
        lambda: line.read(0.05),
        lambda: line.write(b"\x01"),
        line.discard,
        lambda: line.apply(SerialSettings.of(4800, "8N1")),
    ):
        with pytest.raises(PortError) as caught:
            verb()
        problems.append(caught.value.problem)

    assert problems == [PortProblem.VANISHED] * 4
    line.close()


def test_a_port_that_nobody_empties_is_said_to_take_no_bytes(line: SerialLine) -> None:
    """A terminal's queue holds a few kilobytes; a hung adapter's behaves the same."""
    with pytest.raises(PortError) as caught:
        line.write(bytes(1_000_000))

    assert caught.value.problem is PortProblem.VANISHED
    assert "takes no bytes any more" in caught.value.sentence


@pytest.mark.parametrize(
    ("port", "problem", "words"),
    [
        ("/dev/no-such-port", PortProblem.MISSING, "there is no port /dev/no-such-port"),
        ("", PortProblem.MISSING, "no port is named"),
        ("/dev/null", PortProblem.NOT_A_PORT, "not a serial port"),
        ("/dev", PortProblem.NOT_A_PORT, "a folder"),
        (__file__, PortProblem.NOT_A_PORT, "a file"),
        (f"{__file__}/deeper", PortProblem.MISSING, "there is no port"),
        ("/dev/" + "x" * 300, PortProblem.MISSING, "there is no port"),
        ("/dev/a\0b", PortProblem.MISSING, "cannot be opened"),
    ],
)
def test_what_is_no_port_is_told_from_a_port_that_is_missing(port: str, problem: PortProblem, words: str) -> None:
    error = refusal(port)

    assert error.problem is problem
    assert words in error.sentence


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (PortOptions(direction=Direction.KERNEL), "the direction 'kernel'"),
        (PortOptions(direction=Direction.RTS), "the direction 'rts'"),
        (PortOptions(low_latency=True), "handing bytes over at once"),
    ],
)
def test_an_expert_setting_that_the_port_does_not_know_is_named(
    pair: TerminalPair, options: PortOptions, words: str
) -> None:
    error = refusal(pair.name, options)

    assert error.problem is PortProblem.SETTINGS_REFUSED
    assert words in error.sentence
    opened(pair.name).close()


def test_wires_that_the_port_does_not_have_hinder_nothing(pair: TerminalPair) -> None:
    opened(pair.name, PortOptions(dtr=False, rts=False)).close()


FORBIDDEN_SCRIPT = """
import grp, os, sys
sys.path[:0] = {paths}
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.serial_settings import SerialSettings
import buswalk.wire.posix_device
from buswalk.wire.opening import open_wire_line
from buswalk.domain.line.port_options import PortOptions
from buswalk.wire.system_clock import SystemClock
# All is imported before: the other user may not read where Python lives.
os.setgroups([])
os.setgid({nobody})
os.setuid({nobody})
try:
    open_wire_line({port!r}, SerialSettings.of(9600, "8N1"), PortOptions(), SystemClock())
except PortError as error:
    print(error.problem.name)
    print(error.sentence)
"""
NOBODY = 65_534


@pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="only the superuser can become somebody else")
@pytest.mark.parametrize(
    ("mode", "words"),
    [
        (stat.S_IRUSR | stat.S_IWUSR | stat.S_IRGRP | stat.S_IWGRP, "it belongs to the group '{group}'"),
        (stat.S_IRUSR | stat.S_IWUSR, "ask whoever runs this computer"),
    ],
)
def test_a_forbidden_port_names_the_group_that_would_help(pair: TerminalPair, mode: int, words: str) -> None:
    """Root may open anything, so another user tries. Where the group has no right, to join it would not help."""
    group = next(one for one in grp.getgrall() if one.gr_gid not in (0, NOBODY))
    os.chown(pair.name, 0, group.gr_gid)
    Path(pair.name).chmod(mode)
    script = FORBIDDEN_SCRIPT.format(nobody=NOBODY, paths=[one for one in sys.path if one], port=pair.name)

    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, timeout=30, check=False)

    problem, sentence = done.stdout.splitlines()
    assert problem == "FORBIDDEN"
    assert words.format(group=group.gr_name) in sentence


@needs_linux
def test_one_call_sets_speed_framing_and_marks(pair: TerminalPair) -> None:
    """A pseudo terminal keeps stop bits and input flags, though it has no use for them; parity it clears."""
    assert is_known(pair.near)

    set_terminal(pair.near, SerialSettings.of(57_600, "8N2"), MARKING)

    state = terminal_state(pair.near)
    assert (state.baud_rate, state.parity, state.stop_bits, state.data_bits) == (57_600, Parity.NONE, 2, 8)
    assert state.has_marks


@needs_linux
def test_a_terminal_that_sets_other_framing_is_found_out(pair: TerminalPair) -> None:
    settings = SerialSettings.of(57_600, "7E1")

    set_terminal(pair.near, settings, MARKING)

    assert terminal_state(pair.near).differs_from(settings)


@needs_linux
@pytest.mark.parametrize(("taken_baud", "is_refused"), [(9600, False), (9750, False), (9400, True), (19_200, True)])
def test_a_speed_within_two_percent_is_the_one_asked_for(
    pair: TerminalPair, taken_baud: int, *, is_refused: bool
) -> None:
    """A receiver accepts 2 % (Serial Line V1.02, 3.2)."""
    set_terminal(pair.near, SerialSettings.of(taken_baud, "8N1"), MARKING)

    assert terminal_state(pair.near).differs_from(SerialSettings.of(9600, "8N1")) == is_refused


def test_a_terminal_asked_for_marks_doubles_ff_and_the_decoder_undoes_it(pair: TerminalPair) -> None:
    assert set_marks(pair.near)
    pair.send(bytes.fromhex("01 FF 00 FF FF 02"))

    raw = os.read(pair.near, 100)

    assert raw == bytes.fromhex("01 FF FF 00 FF FF FF FF 02")
    assert MarkDecoder().feed(raw).data == bytes.fromhex("01 FF 00 FF FF 02")

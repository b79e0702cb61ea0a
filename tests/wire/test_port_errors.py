"""What a system raises, turned into a reason and a sentence. Numbers of POSIX; Windows as pyserial tells it."""

from __future__ import annotations

import errno
import sys

import pytest
import serial

from buswalk.domain.line.port_error import PortProblem
from buswalk.wire.port_errors import error_number, is_gone, is_windows_name, lost, opening_failed

PORT = "/dev/ttyUSB7"


def nothing_listed() -> list[str]:
    return []


def pyserials(number: int) -> serial.SerialException:
    """As pyserial says it when opening: its error is an OSError with the system's number."""
    return serial.SerialException(number, f"could not open port {PORT}")


@pytest.mark.parametrize(
    ("number", "problem", "words"),
    [
        (errno.ENOENT, PortProblem.MISSING, "there is no port"),
        (errno.ENOTDIR, PortProblem.MISSING, "there is no port"),
        (errno.ENAMETOOLONG, PortProblem.MISSING, "there is no port"),
        (errno.EBUSY, PortProblem.BUSY, "in use by another program"),
        (errno.EAGAIN, PortProblem.BUSY, "in use by another program"),
        (errno.EACCES, PortProblem.FORBIDDEN, "you may not open"),
        (errno.EPERM, PortProblem.FORBIDDEN, "you may not open"),
        (errno.EIO, PortProblem.VANISHED, "nothing is behind the name"),
        (errno.ENXIO, PortProblem.VANISHED, "nothing is behind the name"),
        (errno.ENODEV, PortProblem.VANISHED, "nothing is behind the name"),
        (errno.ENOTTY, PortProblem.NOT_A_PORT, "not a serial port"),
        (errno.EINVAL, PortProblem.NOT_A_PORT, "not a serial port"),
        (errno.ENOSPC, PortProblem.MISSING, "cannot be opened"),
    ],
)
def test_each_reason_why_a_port_cannot_be_opened_has_its_sentence(
    number: int, problem: PortProblem, words: str
) -> None:
    error = opening_failed(PORT, pyserials(number), nothing_listed)

    assert error.problem is problem
    assert words in error.sentence
    assert error.port == PORT
    assert PORT in error.sentence


@pytest.mark.parametrize(("listed", "problem"), [(["COM3"], PortProblem.BUSY), (["COM4"], PortProblem.MISSING)])
@pytest.mark.parametrize("port", ["COM3", "com3", r"\\.\COM3"])
def test_windows_list_tells_a_port_in_use_from_one_that_is_away(
    port: str, listed: list[str], problem: PortProblem
) -> None:
    """Both raise 'access denied' there while the old handle of an unplugged adapter lives."""
    reason = serial.SerialException(f"could not open port {port}: PermissionError(13, 'Access is denied.')")

    assert opening_failed(port, reason, lambda: listed).problem is problem


@pytest.mark.parametrize("listed", [["COM3"], ["com3"]])
def test_a_lost_windows_port_that_is_still_listed_is_said_to_hang(listed: list[str]) -> None:
    sentence = lost(r"\\.\COM3", PermissionError(13, "Access is denied"), lambda: listed).sentence

    assert "still listed" in sentence


def test_a_number_is_found_in_the_cause_of_an_error() -> None:
    """pyserial wraps some errors in its own without a number."""
    wrapped = serial.SerialException("read failed")
    wrapped.__cause__ = OSError(errno.EIO, "Input/output error")

    assert error_number(wrapped) == errno.EIO
    assert error_number(ValueError("no number anywhere")) is None


@pytest.mark.skipif(sys.platform == "win32", reason="there is no termios")
def test_a_terminals_own_error_is_read_like_the_systems() -> None:
    """termios.error is no OSError and bears its number as an argument (measured: flush after unplugging)."""
    import termios

    assert is_gone(PORT, termios.error(errno.EIO, "Input/output error"), nothing_listed)
    assert not is_gone(PORT, termios.error(errno.EINVAL, "Invalid argument"), nothing_listed)


@pytest.mark.parametrize(
    ("port", "is_windows"),
    [("COM1", True), ("com12", True), (r"\\.\COM10", True), ("COM", False), ("COMX", False), ("/dev/COM1", False)],
)
def test_windows_names_are_com_and_a_number(port: str, *, is_windows: bool) -> None:
    assert is_windows_name(port) == is_windows

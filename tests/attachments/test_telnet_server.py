"""The server side of the Com Port Control Option against its text (RFC 2217, section 3; bytes written out by hand)."""

from __future__ import annotations

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.attachments.peer import Apply, PurgeReceived, PurgeWaiting, Send
from simulated_line.attachments.telnet_server import ServerSide

FIRST = SerialSettings.of(9600, "8N1")
SET_19200 = bytes.fromhex("FF FA 2C 01 00 00 4B 00 FF F0")
SET_EVEN = bytes.fromhex("FF FA 2C 03 03 FF F0")
ASK_SPEED = bytes.fromhex("FF FA 2C 01 00 00 00 00 FF F0")


def test_data_before_a_change_of_speed_is_sent_before_it() -> None:
    """Both may come in one piece: a program that waits for the end of its writing knows nothing of our reading."""
    acts, _ = ServerSide(FIRST).feed(b"\x01\x02" + SET_19200 + b"\x03")

    assert acts == (Send(b"\x01\x02"), Apply(SerialSettings.of(19200, "8N1")), Send(b"\x03"))


def test_each_change_is_an_act_of_its_own() -> None:
    acts, _ = ServerSide(FIRST).feed(SET_19200 + SET_EVEN)

    assert acts == (Apply(SerialSettings.of(19200, "8N1")), Apply(SerialSettings.of(19200, "8E1")))


def test_asking_for_the_speed_changes_nothing_and_is_answered_with_it() -> None:
    """Command 1 with value 0 asks; the answer is command 101, 9600 = 0x2580."""
    acts, answer = ServerSide(FIRST).feed(ASK_SPEED)

    assert acts == ()
    assert answer == bytes.fromhex("FF FA 2C 65 00 00 25 80 FF F0")


@pytest.mark.parametrize("cut", range(1, len(SET_19200) + 4))
def test_a_command_cut_anywhere_is_one_command(cut: int) -> None:
    stream = b"\x01\xff\xff" + SET_19200 + b"\x02"
    server = ServerSide(FIRST)

    acts = server.feed(stream[:cut])[0] + server.feed(stream[cut:])[0]

    assert b"".join(one.data for one in acts if isinstance(one, Send)) == b"\x01\xff\x02"
    assert acts[-1] == Send(b"\x02")
    assert Apply(SerialSettings.of(19200, "8N1")) in acts


@pytest.mark.parametrize(
    ("value", "purges"),
    [(1, (PurgeReceived(),)), (2, (PurgeWaiting(),)), (3, (PurgeReceived(), PurgeWaiting()))],
)
def test_purge_data_purges_what_it_names(value: int, purges: tuple[object, ...]) -> None:
    """PURGE-DATA is command 12: 1 the receive buffer, 2 the transmit buffer, 3 both."""
    acts, answer = ServerSide(FIRST).feed(bytes((0xFF, 0xFA, 0x2C, 12, value, 0xFF, 0xF0)))

    assert acts == purges
    assert answer == bytes((0xFF, 0xFA, 0x2C, 112, value, 0xFF, 0xF0))


def test_a_speed_that_no_uart_has_is_not_taken_and_the_answer_says_so() -> None:
    acts, answer = ServerSide(FIRST).feed(bytes.fromhex("FF FA 2C 01 00 00 00 01 FF F0"))

    assert acts == ()
    assert answer == bytes.fromhex("FF FA 2C 65 00 00 25 80 FF F0")


def test_an_option_that_is_not_known_is_declined() -> None:
    """WILL 31 (window size) is answered DONT 31 (RFC 854)."""
    _, answer = ServerSide(FIRST).feed(bytes.fromhex("FF FB 1F"))

    assert answer == bytes.fromhex("FF FE 1F")


def test_line_errors_are_told_only_where_asked_for() -> None:
    """SET-LINESTATE-MASK is command 10; NOTIFY-LINESTATE is 106; framing error is bit 3."""
    server = ServerSide(FIRST)
    before = server.line_state(8)

    server.feed(bytes.fromhex("FF FA 2C 0A 08 FF F0"))

    assert before == b""
    assert server.line_state(8 | 4) == bytes.fromhex("FF FA 2C 6A 08 FF F0")

"""The client's side of RFC 2217 as bytes, written out by hand.

Sources: RFC 2217 (command numbers, values, answers + 100), RFC 854 (IAC sequences, IAC doubled in data), RFC 856
(binary, option 0), RFC 858 (suppress go ahead, option 3). From memory of these texts; the same is held against
pyserial's server in test_rfc2217_line.
"""

from __future__ import annotations

import pytest

from buswalk.domain.line.arrival import LineMark
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.wire.com_port_option import (
    LONGEST_SEQUENCE,
    Command,
    ComPortClient,
    Confirmed,
    Taken,
    command_bytes,
    escaped,
    opening_bytes,
    preparing_commands,
    settings_commands,
)

NOTHING = Taken(b"", (), (), b"")
STREAM = bytes.fromhex(
    "FF FD 2C"  # DO COM-PORT-OPTION: our offer is taken
    "11 22 FF FF 33"  # line bytes, one of them FF
    "FF FA 2C 65 00 00 4B 00 FF F0"  # 101: speed is 19200
    "FF FA 2C 67 03 FF F0"  # 103: parity code 3, even
    "FF FA 2C 6A 18 FF F0"  # 106: line state, framing error and break
    "FF F1"  # NOP
    "44 FF FF"
)
WHOLE = Taken(
    bytes.fromhex("11 22 FF 33 44 FF"),
    (Confirmed(Command.SET_BAUD_RATE, 19_200), Confirmed(Command.SET_PARITY, 3)),
    (LineMark.FRAMING_ERROR, LineMark.BREAK),
    b"",
)


def fed(*pieces: bytes) -> Taken:
    """Return what all pieces together gave."""
    client = ComPortClient()
    taken = [client.feed(piece) for piece in pieces]
    return Taken(
        b"".join(one.data for one in taken),
        tuple(confirmed for one in taken for confirmed in one.confirmed),
        tuple(mark for one in taken for mark in one.marks),
        b"".join(one.answer for one in taken),
    )


def test_a_client_offers_the_option_and_a_stream_without_translation() -> None:
    """WILL COM-PORT-OPTION, DO suppress go ahead, WILL and DO binary."""
    assert opening_bytes() == bytes.fromhex("FF FB 2C FF FD 03 FF FB 00 FF FD 00")


@pytest.mark.parametrize(
    ("settings", "expected"),
    [
        (
            SerialSettings.of(19_200, "8E1"),
            "FF FA 2C 01 00 00 4B 00 FF F0  FF FA 2C 02 08 FF F0  FF FA 2C 03 03 FF F0  FF FA 2C 04 01 FF F0",
        ),
        (
            SerialSettings.of(1200, "7O2"),
            "FF FA 2C 01 00 00 04 B0 FF F0  FF FA 2C 02 07 FF F0  FF FA 2C 03 02 FF F0  FF FA 2C 04 02 FF F0",
        ),
        (
            # 65 535 baud: both FF of the value are doubled.
            SerialSettings.of(65_535, "8N1"),
            "FF FA 2C 01 00 00 FF FF FF FF FF F0  FF FA 2C 02 08 FF F0  FF FA 2C 03 01 FF F0  FF FA 2C 04 01 FF F0",
        ),
    ],
)
def test_settings_are_four_commands(settings: SerialSettings, expected: str) -> None:
    """Parity codes: 1 none, 2 odd, 3 even. Stop bits: 1 is one, 2 is two, 3 would be one and a half."""
    commands = settings_commands(settings)

    assert b"".join(command_bytes(one, value) for one, value in commands.items()) == bytes.fromhex(expected)


def test_both_wires_flow_control_line_states_and_purge_are_asked_for_once() -> None:
    """Mask 1E: overrun 02, parity 04, framing 08, break 10. Controls: 1 no flow control, 8/9 DTR, 11/12 RTS."""
    prepared = preparing_commands(dtr=True, rts=False)

    assert prepared == bytes.fromhex(
        "FF FA 2C 0A 1E FF F0  FF FA 2C 05 01 FF F0  FF FA 2C 05 08 FF F0  FF FA 2C 05 0C FF F0  FF FA 2C 0C 03 FF F0"
    )


def test_line_bytes_that_look_like_a_telnet_command_are_doubled() -> None:
    assert escaped(bytes.fromhex("01 FF F0 FF")) == bytes.fromhex("01 FF FF F0 FF FF")


def test_a_stream_is_taken_apart() -> None:
    assert fed(STREAM) == WHOLE


@pytest.mark.parametrize("at", range(len(STREAM) + 1))
def test_a_cut_at_any_byte_changes_nothing(at: int) -> None:
    assert fed(STREAM[:at], STREAM[at:]) == WHOLE


def test_byte_by_byte_changes_nothing() -> None:
    assert fed(*(STREAM[at : at + 1] for at in range(len(STREAM)))) == WHOLE


def test_our_offer_may_be_taken_or_refused() -> None:
    taken, refused = ComPortClient(), ComPortClient()

    taken.feed(bytes.fromhex("FF FD 2C"))
    refused.feed(bytes.fromhex("FF FE 2C"))

    assert (taken.is_accepted, taken.is_refused) == (True, False)
    assert (refused.is_accepted, refused.is_refused) == (False, True)


@pytest.mark.parametrize(
    "answers",
    [
        "FF FD 2C FF FB 03 FF FD 00 FF FB 00",  # to each of our offers: yes
        "FF FE 2C FF FC 03 FF FE 00 FF FC 00",  # to each of our offers: no
    ],
)
def test_what_answers_our_offers_is_not_answered_again(answers: str) -> None:
    """Two sides that confirm confirmations go on for ever (RFC 854, general considerations)."""
    assert fed(bytes.fromhex(answers)).answer == b""


def test_a_servers_own_offers_are_answered_once() -> None:
    """WILL echo (01) is declined, DO terminal type (18) too; WILL COM-PORT-OPTION is welcome."""
    offers = bytes.fromhex("FF FB 01 FF FD 18 FF FB 2C")

    answered = fed(offers, offers)

    assert answered.answer == bytes.fromhex("FF FE 01 FF FC 18 FF FD 2C")


def test_zeros_behind_a_value_do_not_belong_to_it() -> None:
    """Some servers fill values up to four bytes."""
    stream = bytes.fromhex("FF FA 2C 66 08 00 00 00 FF F0 FF FA 2C 6A 02 00 00 00 FF F0")

    assert fed(stream) == Taken(b"", (Confirmed(Command.SET_DATA_SIZE, 8),), (LineMark.OVERRUN,), b"")


def test_a_doubled_ff_inside_a_value_is_one() -> None:
    assert fed(bytes.fromhex("FF FA 2C 65 00 00 FF FF FF FF FF F0")).confirmed == (
        Confirmed(Command.SET_BAUD_RATE, 65_535),
    )


@pytest.mark.parametrize(
    "stream",
    [
        "FF FA 2C FF F0",  # no command
        "FF FA 2C 65 FF F0",  # no value
        "FF FA 18 00 41 FF F0",  # another option's
        "FF FA FF F0",
    ],
)
def test_what_says_nothing_is_passed_over(stream: str) -> None:
    assert fed(bytes.fromhex(stream)) == NOTHING


def test_a_command_without_end_does_not_hold_line_bytes_back_for_ever() -> None:
    """A raw server may send FF FA as line bytes: all behind it would wait for FF F0."""
    line_bytes = b"\x55" * (LONGEST_SEQUENCE + 1)

    taken = fed(b"\xff\xfa", line_bytes)

    assert taken.data == line_bytes

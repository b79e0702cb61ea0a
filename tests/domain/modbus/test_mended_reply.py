"""Mending: every damage of a kind is found where it was done, and damage at large seldom fits by chance."""

from __future__ import annotations

from random import Random

import pytest

from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.mended_reply import Mending, expected_head, mended_replies
from simulated_line.reference_codec.check_sum import closed

# Address 17, registers 107 to 109 with 022B 0000 0064: Application V1.1b3, 6.3, example. The CRC was computed with the
# reference codec of the simulators, which shares no code with the program.
REQUEST = ReadHoldingRegisters(107, 3)
REPLY = bytes.fromhex("11 03 06 02 2B 00 00 00 64 C8 BA")
REFUSAL = bytes.fromhex("11 83 02 C1 34")
"""Address 17 refuses with exception 02 (Application V1.1b3, 7)."""


def test_the_frames_are_right_by_the_reference_codec() -> None:
    assert closed(REPLY[:-2]) == REPLY
    assert closed(REFUSAL[:-2]) == REFUSAL


def test_a_right_reply_needs_no_mending() -> None:
    assert mended_replies(17, REQUEST, REPLY) == ()


def test_a_reply_must_begin_with_what_was_asked() -> None:
    assert expected_head(17, REQUEST) == bytes.fromhex("11 03 06")
    assert expected_head(17, WriteSingleRegister(1, 3)) == bytes.fromhex("11 06")


@pytest.mark.parametrize("bit", range(len(REPLY) * 8))
def test_each_flipped_bit_is_found_where_it_is(bit: int) -> None:
    """A CRC of 16 bits tells all single flips of so short a frame apart."""
    received = bytearray(REPLY)
    received[bit // 8] ^= 1 << bit % 8

    found = mended_replies(17, REQUEST, bytes(received))

    assert [(one.mending, one.adu) for one in found] == [(Mending.ONE_BIT, REPLY)]
    assert found[0].put_back == found[0].damaged == (bit // 8,)


@pytest.mark.parametrize("lost", [1, 2, 3])
def test_a_lost_head_is_put_back(lost: int) -> None:
    found = mended_replies(17, REQUEST, REPLY[lost:])

    assert [(one.mending, one.adu) for one in found] == [(Mending.HEAD, REPLY)]
    assert found[0].put_back == tuple(range(lost))
    assert found[0].damaged == ()


@pytest.mark.parametrize("in_place", ["C2", "64 44", "FE 80 7F", "00 00 00 00"])
@pytest.mark.parametrize("lost", [1, 2, 3])
def test_a_head_that_came_as_other_bytes_is_put_back(lost: int, in_place: str) -> None:
    wrong = bytes.fromhex(in_place)

    found = mended_replies(17, REQUEST, wrong + REPLY[lost:])

    assert [one.adu for one in found] == [REPLY]
    assert found[0].damaged[-1] == len(wrong) - 1


def test_four_lost_bytes_are_beyond_what_can_be_borne_out() -> None:
    """The first data byte is not known from the request."""
    assert mended_replies(17, REQUEST, REPLY[4:]) == ()


def test_a_lost_last_byte_is_put_back_and_borne_out() -> None:
    found = mended_replies(17, REQUEST, REPLY[:-1])

    assert [(one.mending, one.adu, one.is_borne_out) for one in found] == [(Mending.TAIL, REPLY, True)]
    assert found[0].put_back == (10,)


def test_a_lost_crc_is_put_back_but_proves_nothing() -> None:
    found = mended_replies(17, REQUEST, REPLY[:-2])

    assert [(one.adu, one.put_back, one.is_borne_out) for one in found] == [(REPLY, (9, 10), False)]


@pytest.mark.parametrize("kept", range(1, 9))
def test_a_reply_that_ends_in_its_data_is_not_mended(kept: int) -> None:
    """What the missing values were is not known to anybody."""
    assert mended_replies(17, REQUEST, REPLY[:kept]) == ()


def test_a_refusal_without_its_first_byte_is_a_refusal() -> None:
    found = mended_replies(17, REQUEST, REFUSAL[1:])

    assert [(one.mending, one.adu) for one in found] == [(Mending.HEAD, REFUSAL)]


def test_a_confirmation_is_mended_too() -> None:
    """Function 06 confirms by the request itself (Application V1.1b3, 6.6)."""
    confirmation = closed(bytes.fromhex("11 06 00 01 00 03"))

    found = mended_replies(17, WriteSingleRegister(1, 3), b"\xfe" + confirmation[2:])

    assert [(one.mending, one.adu) for one in found] == [(Mending.HEAD, confirmation)]


def test_damage_at_large_seldom_fits_by_chance() -> None:
    """Of random bytes with the right length and head, 8 x 17 flips of 65 536 remainders fit: 0.2 %."""
    draw = Random(20)
    request = ReadInputRegisters(0, 6)
    head = expected_head(17, request)

    fits = sum(bool(mended_replies(17, request, head + draw.randbytes(14))) for _ in range(3000))

    assert fits < 3000 * 0.006

"""The CRC against the standard, the catalogue, and a second implementation written bit by bit."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.modbus.crc16 import crc16, crc_bytes, has_right_crc


def bit_by_bit(data: bytes) -> int:
    """The procedure of Serial Line V1.02, appendix B 6.2.2, literally."""
    register = 0xFFFF
    for byte in data:
        register ^= byte
        for _ in range(8):
            carry = register & 1
            register >>= 1
            if carry:
                register ^= 0xA001
    return register


@pytest.mark.parametrize(
    ("data", "register"),
    [
        (bytes.fromhex("02 07"), 0x1241),  # Serial Line V1.02, appendix B: sent as 41 12
        (b"123456789", 0x4B37),  # CRC catalogue, CRC-16/MODBUS check value
        (b"", 0xFFFF),
        (b"\x00", 0x40BF),
    ],
)
def test_published_values(data: bytes, register: int) -> None:
    assert crc16(data) == register


def test_the_low_byte_goes_first() -> None:
    """Appendix B prints the example as 4112, which is the order on the wire, not the register's value."""
    assert crc_bytes(bytes.fromhex("02 07")) == bytes.fromhex("41 12")


def test_a_whole_good_frame_leaves_zero() -> None:
    """CRC catalogue: residue 0000."""
    assert crc16(bytes.fromhex("11 03 00 6B 00 03 76 87")) == 0


@given(st.binary(max_size=300))
def test_it_equals_the_bit_by_bit_procedure(data: bytes) -> None:
    assert crc16(data) == bit_by_bit(data)


@given(st.binary(min_size=2, max_size=60), st.integers(min_value=0), st.integers(0, 7))
def test_one_flipped_bit_is_always_noticed(body: bytes, where: int, bit: int) -> None:
    frame = bytearray(body + crc_bytes(body))
    frame[where % len(frame)] ^= 1 << bit

    assert not has_right_crc(bytes(frame))


@pytest.mark.parametrize("data", [b"", b"\xff\xff", b"\x00\xbf\x40"])
def test_fewer_than_four_bytes_are_no_frame(data: bytes) -> None:
    assert not has_right_crc(data)

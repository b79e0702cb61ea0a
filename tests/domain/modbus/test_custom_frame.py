"""Bytes of one's own as requests. Check sums from Serial Line V1.02, appendix B, and the reference codec."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.modbus.annotation import annotate_request
from buswalk.domain.modbus.custom_frame import CheckSum, CustomFrame, CustomReply, framed, request_in
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from simulated_line.reference_codec.check_sum import closed, is_closed_right

DATA = st.binary(min_size=2, max_size=254)


def test_the_check_sum_of_the_standards_example() -> None:
    """Appendix B: the CRC of 02 07 is 1241 hex, sent low byte first as 41 12."""
    assert framed(b"\x02\x07", CheckSum.RIGHT) == bytes.fromhex("02 07 41 12")


@given(data=DATA)
def test_right_wrong_and_as_typed_are_what_they_say(data: bytes) -> None:
    assert framed(data, CheckSum.RIGHT) == closed(data)
    assert not is_closed_right(framed(data, CheckSum.WRONG))
    assert framed(data, CheckSum.AS_TYPED) == data


def test_a_legal_frame_is_the_request_of_the_standard() -> None:
    assert request_in(closed(bytes.fromhex("25 03 00 00 00 02"))) == ReadHoldingRegisters(0, 2)


@pytest.mark.parametrize(
    "frame",
    [
        closed(bytes.fromhex("25 03 00 00 00 00")),  # asks for none: the standard refuses it
        closed(bytes.fromhex("25 03 00 00 00 02 00")),  # a byte too many
        closed(bytes.fromhex("25 41 01")),
        bytes.fromhex("25 03 00 00 00 02 00 00"),  # wrong check sum
    ],
)
def test_what_the_standard_does_not_know_keeps_its_bytes(frame: bytes) -> None:
    assert request_in(frame) == CustomFrame(frame)


@given(data=DATA)
def test_any_frame_has_a_request_that_carries_its_bytes_and_can_be_shown(data: bytes) -> None:
    frame = closed(data)

    request = request_in(frame)

    assert request.pdu() == frame[1:-2]
    assert sum(one.byte_count for one in annotate_request(frame)) == len(frame)


@pytest.mark.parametrize("size", [0, 1, 3, 257])
def test_too_few_or_too_many_bytes_are_no_frame(size: int) -> None:
    """Serial Line V1.02, 2.5.1: 256 bytes at most; address, function and check sum are four."""
    with pytest.raises(ValueError, match="4 to 256"):
        CustomFrame(bytes(size))


def test_a_reply_to_an_unknown_function_is_kept_as_bytes() -> None:
    request = CustomFrame(closed(bytes.fromhex("25 41 01")))

    assert request.parse_reply(b"\x41\x07") == CustomReply(b"\x41\x07")

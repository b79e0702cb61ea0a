"""Bytes explained: each one is covered once, also where the frame is damaged."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.modbus.annotation import annotate_reply, annotate_request
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters

REQUEST = ReadHoldingRegisters(0, 2)


def test_a_reply_says_what_each_register_holds() -> None:
    spans = annotate_reply(REQUEST, bytes.fromhex("25 03 04 00 D7 01 C2 AE 08"))

    assert [one.meaning for one in spans] == [
        "server address 37",
        "function 03, read holding registers",
        "byte count 4",
        "register 0 (0x0000) = 215 (0x00D7)",
        "register 1 (0x0001) = 450 (0x01C2)",
        "CRC, right",
    ]


def test_a_wrong_crc_says_what_it_should_be() -> None:
    assert annotate_reply(REQUEST, bytes.fromhex("25 03 04 00 D7 01 C2 AE 09"))[-1].meaning == "CRC, should be AE 08"


def test_a_refusal_says_what_it_tells() -> None:
    """Application V1.1b3, 7."""
    meanings = [one.meaning for one in annotate_reply(REQUEST, bytes.fromhex("25 83 02 80 FA"))]

    assert meanings[1] == "function 03 refused, read holding registers"
    assert meanings[2].startswith("exception 02, illegal data address")


def test_a_request_says_from_where_and_how_many() -> None:
    meanings = [one.meaning for one in annotate_request(bytes.fromhex("11 03 00 6B 00 03 76 87"))]

    assert meanings[2:4] == ["from register 107 (0x006B)", "quantity 3"]


@given(st.binary(min_size=1, max_size=40))
def test_no_byte_is_explained_twice_and_nothing_breaks(data: bytes) -> None:
    covered = [at for span in annotate_reply(REQUEST, data) for at in range(span.offset, span.offset + span.byte_count)]

    assert len(covered) == len(set(covered))
    assert all(at < len(data) for at in covered)

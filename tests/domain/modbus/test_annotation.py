"""Bytes explained: each one is covered once, also where the frame is damaged."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.annotation import Span, annotate_reply, annotate_request
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


# Frames of Application V1.1b3, 6.5 to 6.21, without address; address 11 and a CRC of our own codec are put around them,
# as only the fields between are looked at here.
WORKED_REQUESTS = [
    ("05 00 AC FF 00", ["coil 172 (0x00AC)", "on"]),
    ("06 00 01 00 03", ["register 1 (0x0001)", "value 3 (0x0003)"]),
    ("08 00 00 A5 37", ["sub-function 0000", "its data"]),
    ("0F 00 13 00 0A 02 CD 01", ["from coil 19 (0x0013)", "quantity 10", "byte count 2", None]),
    (
        "10 00 01 00 02 04 00 0A 01 02",
        [
            "from register 1 (0x0001)",
            "quantity 2",
            "byte count 4",
            "register 1 (0x0001) = 10 (0x000A)",
            "register 2 (0x0002) = 258 (0x0102)",
        ],
    ),
    ("16 00 04 00 F2 00 25", ["register 4 (0x0004)", "AND mask 0x00F2", "OR mask 0x0025"]),
    (
        "17 00 03 00 06 00 0E 00 03 06 00 FF 00 FF 00 FF",
        [
            "read from register 3 (0x0003)",
            "quantity 6",
            "write from register 14 (0x000E)",
            "quantity 3",
            "byte count 6",
            "register 14 (0x000E) = 255 (0x00FF)",
            "register 15 (0x000F) = 255 (0x00FF)",
            "register 16 (0x0010) = 255 (0x00FF)",
        ],
    ),
    ("2B 0E 01 00", ["MEI type 0E, device identification", "read code 01", "from object 00, vendor name"]),
]
WORKED_REPLIES = [
    ("07 6D", ["status, lowest first: 1 0 1 1 0 1 1 0"]),
    ("0B FF FF 01 08", ["still busy with a command", "264 events"]),
    (
        "0C 08 00 00 01 08 01 21 20 00",
        ["byte count 8", "not busy", "264 events", "289 messages", "last events, newest first"],
    ),
    ("10 00 01 00 02", ["from register 1 (0x0001)", "quantity 2"]),
    (
        "17 0C 00 FE 0A CD 00 01 00 03 00 0D 00 FF",
        [
            "byte count 12",
            "value 254 (0x00FE)",
            "value 2765 (0x0ACD)",
            "value 1 (0x0001)",
            "value 3 (0x0003)",
            "value 13 (0x000D)",
            "value 255 (0x00FF)",
        ],
    ),
    (
        "2B 0E 01 01 00 00 01 00 03 41 42 43",
        [
            "MEI type 0E, device identification",
            "read code 01",
            "conformity 01",
            "nothing follows",
            "next object: none",
            "1 objects",
            "object 00, vendor name",
            "length 3",
            "'ABC'",
        ],
    ),
]


def between(spans: Sequence[Span]) -> list[str]:
    return [one.meaning for one in spans[2:-1]]


@pytest.mark.parametrize(("pdu", "meanings"), WORKED_REQUESTS)
def test_the_worked_requests_of_the_standard_are_explained_field_by_field(pdu: str, meanings: list[str | None]) -> None:
    said = between(annotate_request(build_adu(11, bytes.fromhex(pdu))))

    assert len(said) == len(meanings)
    assert all(wanted in (None, one) for one, wanted in zip(said, meanings, strict=True)), said


@pytest.mark.parametrize(("pdu", "meanings"), WORKED_REPLIES)
def test_the_worked_replies_of_the_standard_are_explained_field_by_field(pdu: str, meanings: list[str]) -> None:
    assert between(annotate_reply(REQUEST, build_adu(11, bytes.fromhex(pdu)))) == meanings


def test_a_field_that_is_cut_off_says_so_and_bytes_too_many_are_named() -> None:
    cut = between(annotate_reply(REQUEST, build_adu(11, bytes.fromhex("06 00 01 00"))))
    more = between(annotate_reply(REQUEST, build_adu(11, bytes.fromhex("06 00 01 00 03 99"))))

    assert cut[-1].endswith("cut off")
    assert more[-1] == "more than this function has"


@given(st.binary(min_size=4, max_size=60))
def test_every_byte_of_a_request_is_explained_once(data: bytes) -> None:
    covered = [at for span in annotate_request(data) for at in range(span.offset, span.offset + span.byte_count)]

    assert covered == list(range(len(data)))


@given(st.binary(min_size=1, max_size=40))
def test_no_byte_is_explained_twice_and_nothing_breaks(data: bytes) -> None:
    covered = [at for span in annotate_reply(REQUEST, data) for at in range(span.offset, span.offset + span.byte_count)]

    assert len(covered) == len(set(covered))
    assert all(at < len(data) for at in covered)

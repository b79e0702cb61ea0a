"""What is believed alone, beside what the classes of requests and replies take; and the bound on false frames."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.listening.frame_scan import ANSWERS, ASKS, scan
from buswalk.domain.listening.grammar import LEGALITIES, false_frames_a_byte
from buswalk.domain.listening.legality import HEAD_BYTES, NeedsCompany, all_hold, share_of
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.functions.table import FUNCTIONS, CountedLength, FixedLength, function_row
from tests.fakes.answering_line import with_check_sum

FUNCTION_CODES = [one.function_code for one in LEGALITIES]
PROBES_OF_ONE_PARITY = ["01 01 FE FB 01 01 BC 43", "03 03 FF FA 00 03 14 0C"]
"""Legal reads at high start addresses."""


def candidates(data: bytes) -> list[tuple[int, int, int, bool]]:
    found = scan(np.frombuffer(data, dtype=np.uint8))
    return list(
        zip(found.begins.tolist(), found.ends.tolist(), found.roles.tolist(), found.legal.tolist(), strict=True)
    )


@pytest.mark.parametrize("text", PROBES_OF_ONE_PARITY)
def test_a_read_of_high_addresses_is_believed_alone(text: str) -> None:
    assert candidates(bytes.fromhex(text)) == [(0, 8, ASKS, True)]


@pytest.mark.parametrize(
    ("text", "reason"),
    [
        ("11 03 00 6B 00 00", "quantity 0 (Application V1.1b3, 6.3)"),
        ("11 03 00 6B 00 7E", "quantity 126 (6.3)"),
        ("11 03 FF FF 00 02", "ends beyond 65535 (4.4)"),
        ("11 01 00 13 07 D1", "quantity 2001 (6.1)"),
        ("11 05 00 AC FF 01", "neither FF00 nor 0000 (6.5)"),
        ("11 07", "four bytes, which chance makes too often"),
        ("11 83 20", "no exception code of the standard (7)"),
        ("11 03 03 AE 41 56", "an odd byte count (6.3)"),
        ("11 0F 00 13 00 0A 01 CD", "byte count 1 for 10 coils (6.11)"),
    ],
)
def test_what_the_standard_refuses_is_not_believed_alone(text: str, reason: str) -> None:
    frame = with_check_sum(bytes.fromhex(text))

    whole = [one for one in candidates(frame) if one[:2] == (0, len(frame))]
    assert [legal for *_, legal in whole] == [False], reason


WORDS = st.sampled_from(
    [0, 1, 2, 3, 9, 16, 121, 122, 123, 124, 125, 126, 1968, 1969, 2000, 2001, 0xFF00, 0xFFFE, 0xFFFF]
)
ALONE = [one.function_code for one in LEGALITIES if not any(isinstance(two, NeedsCompany) for two in one.request)]


@settings(max_examples=600, deadline=None)
@given(st.sampled_from(ALONE), st.lists(WORDS, min_size=4, max_size=4), st.integers(0, 255), st.booleans())
def test_what_a_request_class_takes_is_legal_and_what_it_refuses_is_not(
    code: int, words: list[int], count: int, is_count_fitting: bool
) -> None:
    """Two writings of the same clauses: in the classes one frame at a time, here thousands at once."""
    pdu = _request_pdu(code, b"".join(word.to_bytes(2, "big") for word in words), count, is_fitting=is_count_fitting)
    head = np.frombuffer((bytes([1]) + pdu + bytes(HEAD_BYTES))[:HEAD_BYTES], dtype=np.uint8)[None, :]

    is_legal = bool(all_hold(LEGALITIES[FUNCTION_CODES.index(code)].request, head)[0])

    # A sub-function of 08 may take no data of its own; the CRC of such a request is believed all the same.
    assert is_legal == _takes(code, pdu) or (code == 0x08 and is_legal)


def _request_pdu(code: int, body: bytes, count: int, *, is_fitting: bool) -> bytes:
    """Return a request of the right length for its function and count."""
    row = function_row(code)
    assert row is not None
    match row.request_length:
        case FixedLength(pdu_bytes):
            return (bytes([code]) + body)[:pdu_bytes]
        case CountedLength(count_at, _):
            quantity = int.from_bytes(body[count_at - 3 : count_at - 1], "big")
            fitting = -(-quantity // 8) if code == 0x0F else 2 * quantity
            count = min(255, fitting) if is_fitting else count
            return bytes([code]) + body[: count_at - 1] + bytes([count]) + bytes(count)
        case _:
            raise AssertionError("no request has objects")


def _takes(code: int, pdu: bytes) -> bool:
    row = function_row(code)
    assert row is not None
    try:
        row.parse_request(pdu)
    except ValueError:
        return False
    return True


@pytest.mark.parametrize("code", FUNCTION_CODES)
def test_shares_are_what_random_heads_show(code: int) -> None:
    legality = LEGALITIES[FUNCTION_CODES.index(code)]
    heads = np.random.default_rng(code).integers(0, 256, (400_000, HEAD_BYTES), dtype=np.uint8)

    for checks in (legality.request, legality.reply):
        expected = share_of(checks) * len(heads)
        seen = int(all_hold(checks, heads).sum())
        assert abs(seen - expected) <= 5 * max(1.0, expected) ** 0.5


def test_the_bound_is_what_random_bytes_make_of_frames_believed_alone() -> None:
    """16 MB; the ratio's spread is about a third with so few, so the bench measures it over many more."""
    random = np.random.default_rng(20)
    size, found = 1 << 20, 0
    for _ in range(16):
        found += int(scan(random.integers(0, 256, size, dtype=np.uint8)).legal.sum())

    expected = false_frames_a_byte() * 16 * size
    assert 5 < expected < 12
    assert abs(found - expected) <= 4 * expected**0.5


def test_every_function_of_the_table_has_its_lengths_in_the_scan() -> None:
    for row in FUNCTIONS:
        if not isinstance(row.request_length, FixedLength):
            continue
        frame = build_adu(1, bytes([row.function_code]) + bytes(row.request_length.pdu_bytes - 1))

        assert any(one[:2] == (0, len(frame)) and one[2] & ASKS for one in candidates(frame)), row.words


def test_identification_is_walked_object_by_object() -> None:
    """The reply of Application V1.1b3, 6.21, table of the example 'Read device identification', shortened to one."""
    frame = with_check_sum(bytes.fromhex("01 2B 0E 01 01 00 00 01 00 03 41 42 43"))

    assert candidates(frame) == [(0, 15, ANSWERS, True)]

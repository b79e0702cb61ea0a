"""Another client overheard: frames of the standard, written out, with times made up."""

from __future__ import annotations

import pytest

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.search.overheard import Overheard, OverheardRequest

READ_3 = bytes.fromhex("11 03 00 6B 00 03 76 87")
"""The example of Application V1.1b3, 6.3, to server 0x11; its CRC 76 87 is a widely published pair (from memory)."""
ANSWER_3 = bytes.fromhex("11 03 06 AE 41 56 52 43 40 49 AD")
REFUSAL = bytes.fromhex("11 83 02 C1 34")


def arrival(data: bytes, at_s: float) -> Arrival:
    return Arrival(data, (), at_s - 0.001, at_s)


def heard(*pieces: tuple[bytes, float]) -> Overheard:
    overheard = Overheard()
    for data, at_s in pieces:
        overheard.take(arrival(data, at_s))
    return overheard


def test_a_request_that_comes_again_has_a_period_and_its_answers() -> None:
    overheard = heard((READ_3, 1.0), (ANSWER_3, 1.02), (READ_3, 3.0), (ANSWER_3, 3.02), (READ_3, 5.0))

    (row,) = overheard.requests
    assert row == OverheardRequest(0x11, bytes.fromhex("03 00 6B 00 03"), 3, 2, 0, 2.0)
    assert overheard.round_s == 2.0
    assert overheard.byte_count == 3 * 8 + 2 * 11


def test_a_refusal_is_an_answer() -> None:
    (row,) = heard((READ_3, 1.0), (REFUSAL, 1.02)).requests

    assert (row.asked, row.answered, row.refused) == (1, 1, 1)


def test_bytes_one_by_one_are_the_same_frames() -> None:
    overheard = Overheard()
    for i, byte in enumerate(READ_3 + ANSWER_3):
        overheard.take(arrival(bytes([byte]), 1.0 + i * 0.001))

    (row,) = overheard.requests
    assert (row.asked, row.answered) == (1, 1)


def test_a_reply_long_after_its_request_counts_for_nobody() -> None:
    (row,) = heard((READ_3, 1.0), (ANSWER_3, 9.0)).requests

    assert (row.asked, row.answered) == (1, 0)


@pytest.mark.parametrize("data", [b"", b"\x00\xff\x13hello"])
def test_bytes_that_make_no_frame_ask_nobody(data: bytes) -> None:
    overheard = heard((data, 1.0)) if data else Overheard()

    assert overheard.requests == ()
    assert overheard.round_s == 0.0

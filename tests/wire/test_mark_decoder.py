"""The escapes of a terminal with PARMRK, cut at every byte. Rules: POSIX.1-2017, 11.2.2 Input Modes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.arrival import ByteMark, LineMark
from buswalk.wire.mark_decoder import Decoded, MarkDecoder

RAW = bytes.fromhex("11 FF FF 22 FF 00 33 FF 00 FF FF FF FF 00 00 44 FF FF FF FF 00")
"""Plain, FF, plain, damaged 33, damaged FF, FF, break, plain, FF, FF, and a 00 that is no escape's."""
DATA = bytes.fromhex("11 FF 22 33 FF FF 00 44 FF FF 00")
MARKS = (
    ByteMark(3, LineMark.DAMAGED),
    ByteMark(4, LineMark.DAMAGED),
    ByteMark(6, LineMark.BREAK),
)


def fed_in_pieces(*pieces: bytes) -> Decoded:
    """Return all that a decoder makes of pieces, offsets counted over the whole."""
    decoder = MarkDecoder()
    data, marks = b"", []
    for piece in pieces:
        decoded = decoder.feed(piece)
        marks += [ByteMark(len(data) + one.offset, one.mark) for one in decoded.marks]
        data += decoded.data
    return Decoded(data, tuple(marks))


def test_escapes_are_undone_and_marked_bytes_keep_their_place() -> None:
    decoded = MarkDecoder().feed(RAW)

    assert decoded == Decoded(DATA, MARKS)


@pytest.mark.parametrize("at", range(len(RAW) + 1))
def test_a_cut_at_any_byte_changes_nothing(at: int) -> None:
    assert fed_in_pieces(RAW[:at], RAW[at:]) == Decoded(DATA, MARKS)


@pytest.mark.parametrize("first", range(len(RAW)))
def test_two_cuts_at_any_bytes_change_nothing(first: int) -> None:
    for second in range(first, len(RAW)):
        assert fed_in_pieces(RAW[:first], RAW[first:second], RAW[second:]) == Decoded(DATA, MARKS)


def test_byte_by_byte_changes_nothing() -> None:
    assert fed_in_pieces(*(RAW[at : at + 1] for at in range(len(RAW)))) == Decoded(DATA, MARKS)


@pytest.mark.parametrize("half", ["FF", "FF 00"])
def test_half_an_escape_gives_nothing_yet_and_says_that_it_waits(half: str) -> None:
    decoder = MarkDecoder()

    decoded = decoder.feed(bytes.fromhex(half))

    assert decoded == Decoded(b"", ())
    assert decoder.is_holding


def test_a_port_set_anew_forgets_half_an_escape() -> None:
    decoder = MarkDecoder()
    decoder.feed(b"\xff")

    decoder.forget()

    assert decoder.feed(b"\xff\xff") == Decoded(b"\xff", ())


def test_an_escape_that_is_none_loses_no_byte() -> None:
    """POSIX knows FF FF and FF 00 x only; a driver that does not double FF must not make us swallow bytes."""
    assert MarkDecoder().feed(bytes.fromhex("FF 03 02")) == Decoded(bytes.fromhex("FF 03 02"), ())


def escaped(characters: list[tuple[int, bool]]) -> bytes:
    """Return what the terminal makes of characters, each with whether it was damaged."""
    return b"".join(
        bytes((0xFF, 0x00, value)) if is_damaged else (b"\xff\xff" if value == 0xFF else bytes((value,)))
        for value, is_damaged in characters
    )


@given(
    characters=st.lists(st.tuples(st.sampled_from((0x00, 0x01, 0xFE, 0xFF)) | st.integers(0, 255), st.booleans())),
    cuts=st.lists(st.integers(0, 200), max_size=6),
)
@settings(max_examples=300)
def test_whatever_was_on_the_line_comes_out_wherever_it_is_cut(
    characters: list[tuple[int, bool]], cuts: list[int]
) -> None:
    raw = escaped(characters)
    places = [0, *sorted(min(cut, len(raw)) for cut in cuts), len(raw)]

    decoded = fed_in_pieces(*(raw[begin:end] for begin, end in pairwise(places)))

    assert decoded.data == bytes(value for value, _ in characters)
    assert {one.offset for one in decoded.marks} == {at for at, (_, is_damaged) in enumerate(characters) if is_damaged}

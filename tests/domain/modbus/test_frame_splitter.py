"""Bytes heard cut into frames: every byte once, resynchronised at every byte."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.frame_splitter import Frame, FrameSplitter, Piece, Role, Skipped, split

REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REFUSAL = bytes.fromhex("25 83 02 80 FA")
WRITE = bytes.fromhex("25 06 00 0A 00 D2 2F 71")


def frames(pieces: tuple[Piece, ...]) -> list[bytes]:
    """The whole frames among pieces."""
    return [piece.adu for piece in pieces if isinstance(piece, Frame)]


def test_a_request_and_its_reply_are_told_apart_by_length() -> None:
    pieces = split(REQUEST + REPLY)

    assert pieces == (Frame(0, REQUEST, Role.REQUEST), Frame(8, REPLY, Role.REPLY))


def test_a_single_write_can_be_either() -> None:
    assert split(WRITE) == (Frame(0, WRITE, Role.REQUEST | Role.REPLY),)


def test_a_refusal_is_a_reply() -> None:
    assert split(REFUSAL) == (Frame(0, REFUSAL, Role.REPLY),)


@pytest.mark.parametrize("stray", [b"\x00", b"\xff", b"\x25", b"\x25\x03", b"\x00\x00\x00", b"\x01\x10\x00"])
def test_stray_bytes_between_frames_lose_none(stray: bytes) -> None:
    pieces = split(stray + REQUEST + stray + REPLY + stray)

    assert frames(pieces) == [REQUEST, REPLY]
    assert b"".join(piece.adu if isinstance(piece, Frame) else piece.data for piece in pieces) == (
        stray + REQUEST + stray + REPLY + stray
    )


def test_a_frame_with_a_wrong_crc_hides_nothing_behind_it() -> None:
    damaged = REPLY[:-1] + b"\x00"

    assert split(damaged + REPLY) == (Skipped(0, damaged), Frame(9, REPLY, Role.REPLY))


def test_what_is_still_open_is_held_back_until_silence() -> None:
    splitter = FrameSplitter()

    assert splitter.feed(REPLY[:5]) == ()
    assert splitter.finish() == (Skipped(0, REPLY[:5]),)


BODIES = st.sampled_from([REQUEST, REPLY, REFUSAL, WRITE, build_adu(9, b"\x07"), build_adu(9, b"\x11\x03AB\xff")])


@settings(max_examples=200)
@given(st.lists(BODIES, min_size=1, max_size=6), st.lists(st.integers(1, 40), max_size=6))
def test_clean_traffic_is_found_whole_however_it_is_cut(sent: list[bytes], cuts: list[int]) -> None:
    data = b"".join(sent)
    splitter = FrameSplitter()
    pieces: list[Piece] = []
    at = 0
    for length in [*cuts, len(data)]:
        pieces += splitter.feed(data[at : at + length])
        at += length
    pieces += splitter.finish()

    assert frames(tuple(pieces)) == sent


@settings(max_examples=300)
@given(st.binary(max_size=400))
def test_every_byte_comes_out_once_and_at_its_place(data: bytes) -> None:
    pieces = split(data)

    at = 0
    for piece in pieces:
        content = piece.adu if isinstance(piece, Frame) else piece.data
        assert piece.offset == at
        assert data[at : at + len(content)] == content
        at += len(content)
    assert at == len(data)

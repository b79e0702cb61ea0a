"""What is given out while it is heard is what the decoder finds in the whole, however the bytes come."""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.heard_exchange import HeardPiece, UnaskedReply, frames_with_roles
from buswalk.domain.listening.heard_so_far import HeardSoFar, NamedFrame, NamedPiece, Said
from buswalk.domain.modbus.frame_splitter import Role
from tests.domain.listening.test_decoder import (
    COILS,
    COILS_REPLY,
    IDENTIFY,
    IDENTIFY_REPLY,
    OTHER,
    READ,
    REFUSAL,
    REPLY,
    STATUS,
    STATUS_REPLY,
    TO_ALL,
    WRITE,
    WRITES,
    WRITES_REPLY,
)

N81 = SerialSettings.of(9600, "8N1")
ROLE = {
    Said.REQUEST: Role.REQUEST,
    Said.REPLY: Role.REPLY,
    Said.UNASKED_REPLY: Role.REPLY,
}
FRAMES = (
    *(READ, REPLY, REFUSAL, WRITE, OTHER, COILS, COILS_REPLY, STATUS, STATUS_REPLY),
    *(TO_ALL, WRITES, WRITES_REPLY, IDENTIFY, IDENTIFY_REPLY),
)
RUNS = st.lists(
    st.one_of(
        st.sampled_from(FRAMES),
        st.sampled_from(FRAMES).map(lambda one: one[:-1] + bytes([one[-1] ^ 1])),
        st.sampled_from(FRAMES).map(lambda one: one[:-2]),
        st.binary(min_size=1, max_size=6),
    ),
    max_size=14,
).map(b"".join)
PAUSES_S = st.sampled_from([0.0, 0.002, 0.005, 0.03, 0.2, 2.0, 8.0])


def arrivals_of(data: bytes, cuts: Sequence[tuple[int, float]]) -> list[Arrival]:
    """Cut bytes into lumps, each with a pause before it."""
    arrivals = []
    at = 0
    now_s = 1.0
    for length, pause_s in [*cuts, (len(data), 0.2)]:
        lump = data[at : at + length]
        at += length
        if lump:
            now_s += pause_s + len(lump) * N81.character_s
            arrivals.append(Arrival(lump, (), now_s - 0.001, now_s))
    return arrivals


def heard_live(arrivals: Sequence[Arrival]) -> list[NamedPiece]:
    """Hear them one by one; where the line was surely silent for long, the silence is told before the next."""
    heard = HeardSoFar(Pace.of(N81))
    given: list[NamedPiece] = []
    for number, arrival in enumerate(arrivals):
        if number and arrival.not_before_s - arrivals[number - 1].not_after_s > heard.silence_s:
            given += heard.take_silence()
        given += heard.take([arrival])
    return given + heard.finish()


def frames_of(pieces: Sequence[NamedPiece]) -> list[NamedFrame]:
    return [one for one in pieces if isinstance(one, NamedFrame)]


def assert_the_same(live: Sequence[NamedPiece], whole: Sequence[HeardPiece]) -> None:
    """Each frame once, in order; what is said of one for sure is so."""
    expected = frames_with_roles(whole)
    unasked = {one.reply.offset for one in whole if isinstance(one, UnaskedReply)}
    frames = frames_of(live)
    assert [(one.offset, one.adu) for one in frames] == [(one.offset, one.adu) for one in expected]
    for one, true in zip(frames, expected, strict=True):
        if one.said in ROLE:
            assert ROLE[one.said] is true.role
            assert (one.said is Said.UNASKED_REPLY) is (one.offset in unasked)


@settings(max_examples=400)
@given(RUNS, st.lists(st.tuples(st.integers(1, 40), PAUSES_S), max_size=30))
def test_frames_given_out_live_are_those_of_the_whole(data: bytes, cuts: list[tuple[int, float]]) -> None:
    arrivals = arrivals_of(data, cuts)

    live = heard_live(arrivals)

    assert_the_same(live, decode(arrivals, N81))


@settings(max_examples=200)
@given(RUNS, st.lists(st.tuples(st.integers(1, 40), PAUSES_S), max_size=30))
def test_each_byte_is_given_out_once_and_at_its_place(data: bytes, cuts: list[tuple[int, float]]) -> None:
    at = 0

    for piece in heard_live(arrivals_of(data, cuts)):
        content = piece.adu if isinstance(piece, NamedFrame) else piece.data
        assert (piece.offset, content) == (at, data[at : at + len(content)])
        at += len(content)

    assert at == len(data)


def test_silence_gives_a_request_out_before_its_reply_comes() -> None:
    heard = HeardSoFar(Pace.of(N81))
    now = heard.take([Arrival(READ, (), 1.0, 1.008)])

    assert now == []
    assert heard.take_silence() == [NamedFrame(0, READ, Said.REQUEST)]
    assert heard.take([Arrival(REPLY, (), 1.3, 1.309)]) == []
    assert heard.finish() == [NamedFrame(8, REPLY, Said.REPLY)]


def test_what_could_ask_or_answer_is_said_to_be_open_until_something_tells() -> None:
    """A write of one register and its answer are the same bytes (Application V1.1b3, 6.6)."""
    heard = HeardSoFar(Pace.of(N81))
    heard.take([Arrival(WRITE, (), 1.0, 1.008)])
    first = heard.take_silence()
    heard.take([Arrival(WRITE, (), 1.2, 1.208)])
    second = heard.take_silence()

    assert first == [NamedFrame(0, WRITE, Said.LIKELY_REQUEST)]
    assert second == [NamedFrame(8, WRITE, Said.LIKELY_REPLY)]


def test_a_reply_nobody_asked_for_is_called_so() -> None:
    heard = HeardSoFar(Pace.of(N81))
    heard.take([Arrival(REPLY, (), 1.0, 1.009)])

    assert heard.take_silence() == [NamedFrame(0, REPLY, Said.UNASKED_REPLY)]


@pytest.mark.parametrize("wall_s", [0.2, 3.0])
def test_a_short_request_among_noise_waits_for_what_speaks_for_it(wall_s: float) -> None:
    """Four bytes are believed by what answers them (6.7): silence alone does not decide that they are none."""
    noise = b"\xf8\xff"
    arrivals = [
        Arrival(noise + STATUS, (), 1.0, 1.007),
        Arrival(STATUS_REPLY, (), 1.007 + wall_s, 1.013 + wall_s),
    ]
    heard = HeardSoFar(Pace.of(N81))
    given = [*heard.take(arrivals[:1]), *heard.take_silence(), *heard.take(arrivals[1:]), *heard.finish()]

    assert_the_same(given, decode(arrivals, N81))

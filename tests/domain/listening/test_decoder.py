"""Bytes heard to exchanges: each byte once, resynchronised at each byte; order, length and CRC decide together.

Frames are those of MODBUS Application Protocol V1.1b3, section 6, with CRCs by a table-free computation of the tests.
"""

from __future__ import annotations

from collections.abc import Sequence

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import Decoder, decode, decode_untimed
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.heard_exchange import HeardExchange, HeardPiece, UnaskedReply
from buswalk.domain.modbus.exchange import NoTurnaround, Turnaround
from tests.fakes.answering_line import with_check_sum
from tests.fakes.heard_pieces import frames_in, placed_bytes, told

N81 = SerialSettings.of(9600, "8N1")
CHARACTER_S = 10 / 9600


def frame(text: str) -> bytes:
    return with_check_sum(bytes.fromhex(text))


READ = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REFUSAL = bytes.fromhex("25 83 02 80 FA")
WRITE = bytes.fromhex("25 06 00 0A 00 D2 2F 71")
"""Its answer is the same byte for byte (6.6)."""
OTHER = frame("26 03 00 00 00 02")
OTHER_REPLY = frame("26 03 04 00 01 00 02")
COILS = frame("11 01 00 13 00 25")
COILS_REPLY = frame("11 01 05 CD 6B B2 0E 1B")
"""The example of 6.1, to server 0x11."""
STATUS = frame("11 07")
STATUS_REPLY = frame("11 07 6D")
"""The example of 6.7."""
TO_ALL = frame("00 06 00 01 00 03")
WRITES = frame("11 10 00 01 00 02 04 00 0A 01 02")
WRITES_REPLY = frame("11 10 00 01 00 02")
"""The example of 6.12."""
IDENTIFY = frame("11 2B 0E 01 00")
IDENTIFY_REPLY = frame("11 2B 0E 01 01 00 00 01 00 03 41 42 43")


def h(data: bytes) -> str:
    return data.hex()


def pair(request: bytes, reply: bytes) -> str:
    return f"{h(request)} > {h(reply)} exact"


PAIRS = [
    (READ, REPLY),
    (READ, REFUSAL),
    (WRITE, WRITE),
    (OTHER, OTHER_REPLY),
    (COILS, COILS_REPLY),
    (STATUS, STATUS_REPLY),
    (WRITES, WRITES_REPLY),
    (IDENTIFY, IDENTIFY_REPLY),
]


@pytest.mark.parametrize(("request_adu", "reply_adu"), PAIRS)
def test_a_request_and_its_reply_glued_together_are_an_exchange(request_adu: bytes, reply_adu: bytes) -> None:
    assert told(decode_untimed(request_adu + reply_adu)) == [pair(request_adu, reply_adu)]


def test_a_request_without_a_reply_stands_alone() -> None:
    assert told(decode_untimed(READ + OTHER + OTHER_REPLY)) == [f"{h(READ)} >", pair(OTHER, OTHER_REPLY)]


def test_a_reply_without_a_request_stands_alone() -> None:
    assert told(decode_untimed(REPLY + OTHER + OTHER_REPLY)) == [f"> {h(REPLY)}", pair(OTHER, OTHER_REPLY)]


def test_a_request_to_all_has_no_reply() -> None:
    """Serial Line V1.02, 2.1: no server answers a broadcast."""
    assert told(decode_untimed(TO_ALL + TO_ALL + READ + REPLY)) == [
        f"{h(TO_ALL)} to all",
        f"{h(TO_ALL)} to all",
        pair(READ, REPLY),
    ]


def test_an_echo_is_a_request_of_its_own_and_the_reply_is_paired_once() -> None:
    assert told(decode_untimed(READ + READ + REPLY)) == [f"{h(READ)} >", pair(READ, REPLY)]


def test_a_reply_of_another_quantity_is_still_the_reply_but_said_to_differ() -> None:
    other = frame("25 03 02 00 D7")

    assert told(decode_untimed(READ + other)) == [f"{h(READ)} > {h(other)} same_function"]


@pytest.mark.parametrize("stray", ["00", "FF", "25", "2503", "000000"])
@pytest.mark.parametrize(("request_adu", "reply_adu"), PAIRS)
def test_stray_bytes_at_every_border_lose_nothing(stray: str, request_adu: bytes, reply_adu: bytes) -> None:
    """One to three bytes where a driver takes or leaves an unbiased line (common practice, no source)."""
    between = bytes.fromhex(stray)

    seen = told(decode_untimed(between + request_adu + between + reply_adu + between + OTHER + OTHER_REPLY))

    assert pair(request_adu, reply_adu) in seen
    assert seen[-1] == pair(OTHER, OTHER_REPLY)


def test_a_byte_00_behind_a_frame_is_not_part_of_it() -> None:
    """The CRC register over a right frame is 0, and stays 0 over bytes 00: only the length ends a frame."""
    heard = [arrival(READ, 1.0), arrival(REPLY + b"\x00", 1.03), arrival(OTHER, 2.0)]

    assert told(decode(heard, N81)) == [pair(READ, REPLY), "skipped 00", f"{h(OTHER)} >"]


def test_a_prefix_whose_crc_fits_does_not_end_a_frame() -> None:
    """The first six bytes of this reply have a right CRC of their own (the value 769 read from address 1)."""
    request, reply = frame("01 04 00 00 00 01"), bytes.fromhex("01 04 02 03 01 78 00")

    assert told(decode_untimed(request + reply)) == [pair(request, reply)]


def test_four_bytes_are_believed_with_a_partner_only() -> None:
    """Address, function and CRC come about by chance too often."""
    assert told(decode_untimed(b"\x55\xaa" + STATUS + b"\x55\xaa\x55\xaa")) == [f"skipped 55aa{h(STATUS)}55aa55aa"]
    assert told(decode_untimed(STATUS + STATUS_REPLY)) == [pair(STATUS, STATUS_REPLY)]


def test_four_bytes_are_believed_where_they_are_all_between_two_frames() -> None:
    """A request that nobody answers, also repeated; a byte more on either side leaves it in doubt."""
    assert told(decode_untimed(READ + REPLY + STATUS + OTHER + OTHER_REPLY)) == [
        pair(READ, REPLY),
        f"{h(STATUS)} >",
        pair(OTHER, OTHER_REPLY),
    ]
    assert told(decode_untimed(READ + REPLY + STATUS * 3 + OTHER))[1:4] == [f"{h(STATUS)} >"] * 3
    for before, behind in ((b"\x55", b""), (b"", b"\x55")):
        seen = told(decode_untimed(READ + REPLY + before + STATUS + behind + OTHER + OTHER_REPLY))
        assert seen[1] == f"skipped {h(before + STATUS + behind)}"


def test_four_bytes_at_the_edge_of_what_was_heard_are_not_believed() -> None:
    assert told(decode_untimed(STATUS + READ + REPLY))[0] == f"skipped {h(STATUS)}"
    assert told(decode_untimed(READ + REPLY + STATUS))[1] == f"skipped {h(STATUS)}"


def test_four_bytes_are_believed_between_silences() -> None:
    heard = [arrival(READ, 1.0), arrival(STATUS, 2.0), arrival(OTHER, 3.0)]

    assert told(decode(heard, N81)) == [f"{h(READ)} >", f"{h(STATUS)} >", f"{h(OTHER)} >"]


def test_a_function_that_the_program_does_not_know_is_heard_between_silences() -> None:
    """Function codes 65 to 72 are left to makers (5.1)."""
    own = frame("25 41 01 02 03")
    heard = [arrival(READ, 1.0), arrival(own, 2.0), arrival(OTHER, 3.0)]

    assert [one.adu for one in frames_in(decode(heard, N81))] == [READ, own, OTHER]
    assert [one.adu for one in frames_in(decode_untimed(READ + own + OTHER))] == [READ, OTHER]


def test_a_refusal_of_a_function_that_nobody_knows_asks_nothing() -> None:
    """Requests have function codes 1 to 127; 128 to 255 are exception replies (Application V1.1b3, 4.1)."""
    refusal = frame("8F A0 01")
    heard = [arrival(READ, 1.0), arrival(refusal, 4.0), arrival(refusal, 8.0), arrival(READ, 12.0)]

    assert told(decode(heard, N81)) == [f"{h(READ)} >", f"> {h(refusal)}", f"> {h(refusal)}", f"{h(READ)} >"]


def test_a_refused_quantity_is_believed_with_its_refusal() -> None:
    too_many = frame("25 03 00 00 00 C8")
    refusal = frame("25 83 03")

    assert told(decode_untimed(too_many + refusal)) == [pair(too_many, refusal)]


@pytest.mark.parametrize("at", range(len(WRITE)))
def test_the_reply_to_a_damaged_write_is_not_taken_for_a_request(at: int) -> None:
    damaged = WRITE[:at] + bytes([WRITE[at] ^ 0x10]) + WRITE[at + 1 :]

    seen = told(decode_untimed(READ + REPLY + damaged + WRITE + OTHER + OTHER_REPLY))

    assert f"> {h(WRITE)}" in seen
    assert seen[-1] == pair(OTHER, OTHER_REPLY)


@pytest.mark.parametrize("at", range(len(WRITE)))
def test_a_write_whose_reply_is_damaged_stays_the_request(at: int) -> None:
    damaged = WRITE[:at] + WRITE[at + 1 :]

    seen = told(decode_untimed(READ + REPLY + WRITE + damaged + OTHER + OTHER_REPLY))

    assert f"{h(WRITE)} >" in seen
    assert seen[-1] == pair(OTHER, OTHER_REPLY)


def test_listening_that_begins_between_a_write_and_its_reply_finds_the_phase_by_time() -> None:
    """The same write again and again, each answered after 20 ms: nothing in the bytes tells who asks."""
    heard = [arrival(WRITE, 1.02)]
    for second in range(2, 9):
        heard += [arrival(WRITE, second), arrival(WRITE, second + 0.02)]

    pieces = decode(heard, N81)

    assert isinstance(pieces[0], UnaskedReply)
    assert [type(one) for one in pieces[1:]] == [HeardExchange] * 7


def test_a_pause_inside_a_frame_does_not_cut_it() -> None:
    """7 ms after the third byte, more than t3.5 (Serial Line V1.02, 2.5.1.1 forbids it): a tolerant reader takes it."""
    heard = [arrival(READ, 1.0), arrival(REPLY[:3], 1.02), arrival(REPLY[3:], 1.0342)]

    assert told(decode(heard, N81)) == [pair(READ, REPLY)]


def test_no_frame_reaches_over_a_long_silence() -> None:
    heard = [arrival(READ, 1.0), arrival(REPLY[:3], 1.02), arrival(REPLY[3:], 1.5)]

    assert told(decode(heard, N81)) == [f"{h(READ)} >", f"skipped {h(REPLY)}"]


def test_a_turnaround_is_a_range() -> None:
    """The request ended at 1.000 s at the latest, the reply of nine characters began one character before its first."""
    heard = [
        Arrival(READ, (), 0.990, 1.000),
        Arrival(REPLY[:1], (), 1.020, 1.021),
        Arrival(REPLY[1:], (), 1.021, 1.040),
    ]

    (exchange,) = decode(heard, N81)

    assert isinstance(exchange, HeardExchange)
    assert isinstance(exchange.turnaround, Turnaround)
    assert exchange.turnaround.not_less_than_s == pytest.approx(1.020 - CHARACTER_S - 1.000)
    assert exchange.turnaround.not_more_than_s == pytest.approx(1.021 - CHARACTER_S - (0.990 + 7 * CHARACTER_S))


def test_without_times_there_is_no_turnaround() -> None:
    (exchange,) = decode_untimed(READ + REPLY)

    assert isinstance(exchange, HeardExchange) and exchange.turnaround == NoTurnaround()


def test_what_waits_can_be_looked_at_without_being_decided() -> None:
    decoder = Decoder(Pace.of(N81))

    sure = decoder.take([arrival(READ, 1.0)])
    first_look, second_look = told(decoder.rest()), told(decoder.rest())
    sure += decoder.take([arrival(REPLY, 1.02)]) + decoder.finish()

    assert first_look == second_look == [f"{h(READ)} >"]
    assert told(sure) == [pair(READ, REPLY)]


BODIES = st.sampled_from([one for both in PAIRS for one in both] + [TO_ALL, frame("25 83 30"), frame("11 41 01")])
NOISE = st.binary(max_size=12)
TRAFFIC = st.lists(st.one_of(BODIES, NOISE, st.sampled_from(PAIRS).map(b"".join)), max_size=12).map(b"".join)


@settings(max_examples=300, deadline=None)
@given(TRAFFIC, st.lists(st.integers(1, 40), max_size=8))
def test_however_bytes_are_cut_the_pieces_are_the_same(data: bytes, cuts: list[int]) -> None:
    whole = decode_untimed(data)
    decoder = Decoder(Pace.not_told())

    pieces: list[HeardPiece] = []
    at = 0
    for length in [*cuts, len(data)]:
        pieces += decoder.take_untimed(data[at : at + length])
        at += length
    pieces += decoder.finish()

    assert told(pieces) == told(whole)


@settings(max_examples=300, deadline=None)
@given(st.one_of(TRAFFIC, st.binary(max_size=600)), st.lists(st.floats(0.0, 0.2), min_size=1, max_size=8))
def test_every_byte_is_in_one_piece(data: bytes, pauses_s: list[float]) -> None:
    """Whatever comes, and in whatever time."""
    heard, at_s = [], 1.0
    step = max(1, len(data) // len(pauses_s))
    for number, at in enumerate(range(0, len(data), step)):
        at_s += pauses_s[number % len(pauses_s)] + step * CHARACTER_S
        heard.append(arrival(data[at : at + step], at_s))

    for pieces in (decode(heard, N81), decode_untimed(data)):
        _assert_all_there_once(pieces, data)


def _assert_all_there_once(pieces: Sequence[HeardPiece], data: bytes) -> None:
    at = 0
    for offset, content in placed_bytes(pieces):
        assert offset == at
        at += len(content)
    assert b"".join(content for _, content in placed_bytes(pieces)) == data


@settings(max_examples=200, deadline=None)
@given(NOISE, st.sampled_from(PAIRS), NOISE)
def test_noise_in_front_and_behind_hides_no_exchange(
    before: bytes, exchange: tuple[bytes, bytes], after: bytes
) -> None:
    pieces = decode_untimed(before + exchange[0] + exchange[1] + after)

    assert pair(*exchange) in told(pieces)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.sampled_from(PAIRS), min_size=1, max_size=8), st.data())
def test_one_damaged_byte_costs_no_more_than_its_own_frame(
    exchanges: list[tuple[bytes, bytes]], draws: st.DataObject
) -> None:
    frames = [one for both in exchanges for one in both]
    hit = draws.draw(st.integers(0, len(frames) - 1))
    at = draws.draw(st.integers(0, len(frames[hit]) - 1))
    flipped = frames[hit][at] ^ draws.draw(st.integers(1, 255))
    damaged = [*frames]
    damaged[hit] = frames[hit][:at] + bytes([flipped]) + frames[hit][at + 1 :]

    found = [one.adu for one in frames_in(decode_untimed(b"".join(damaged)))]

    # Damage can make a right frame by chance, with bytes of the next one: 11 07 4C 22 becomes 41 07 4C 22 and takes 11.
    assume(all(one in frames for one in found))
    intact = frames[:hit] + frames[hit + 1 :]
    partner = frames[hit ^ 1]
    missing = len(intact) - len([one for one in found if one in frames])
    assert missing == 0 or (missing == 1 and len(partner) == 4)


def arrival(data: bytes, ended_s: float) -> Arrival:
    """Bytes that all came in the last characters before this time, seen at once."""
    return Arrival(data, (), ended_s - len(data) * CHARACTER_S + 0.5 * CHARACTER_S, ended_s)


@settings(max_examples=200, deadline=None)
@given(st.lists(st.tuples(st.one_of(BODIES, NOISE.filter(bool)), st.floats(0.0, 0.3)), max_size=12))
def test_arrivals_one_by_one_say_the_same_as_all_at_once(sent: list[tuple[bytes, float]]) -> None:
    heard, at_s = [], 1.0
    for data, pause_s in sent:
        at_s += pause_s + len(data) * CHARACTER_S
        heard.append(arrival(data, at_s))
    decoder = Decoder(Pace.of(N81))

    pieces = [piece for one in heard for piece in decoder.take([one])] + decoder.finish()

    assert told(pieces) == told(decode(heard, N81))

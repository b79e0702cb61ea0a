"""What came after a request: every outcome, every byte once, whatever way the bytes were lumped.

The running example asks address 37 for two holding registers; its frames were computed by hand with the standard's CRC.
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.line_traits import Echo
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.functions.read_coils import ReadCoils
from buswalk.domain.modbus.functions.read_device_identification import ReadDeviceIdentification
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.observation import (
    BytesBefore,
    ForeignFrame,
)
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    ShortReply,
    Stopped,
    UnexpectedReply,
)
from buswalk.domain.modbus.question import Question
from buswalk.domain.modbus.reply_collector import (
    Ending,
    Receiving,
    ReplyCollector,
    Spoiled,
    Waiting,
    Whole,
)
from buswalk.domain.modbus.request import WrongReplyReason
from tests.fakes.answered_question import (
    GOOD,
    REFUSAL,
    REQUEST,
    REQUEST_ADU,
    TIMEOUT_S,
    WRITE,
    WRITE_ADU,
    arrivals_of,
    concluded,
    of_kind,
    question,
)


def test_a_right_reply_is_taken() -> None:
    conclusion = concluded(question(), arrivals_of(GOOD))

    assert conclusion.outcome == NormalReply(GOOD, HoldingRegistersRead(0, (215, 450)))
    assert conclusion.observations == ()


def test_a_refusal_is_an_answer() -> None:
    """Application V1.1b3, 7: function with its high bit set, and the code."""
    conclusion = concluded(question(), arrivals_of(REFUSAL))

    assert conclusion.outcome == ExceptionReply(REFUSAL, 2)


def test_silence_is_no_reply_with_the_time_waited() -> None:
    conclusion = concluded(question(), [])

    assert isinstance(conclusion.outcome, NoReply)
    assert conclusion.outcome.waited_s == pytest.approx(TIMEOUT_S)


def test_fewer_bytes_than_a_reply_are_cut_short() -> None:
    conclusion = concluded(question(), arrivals_of(GOOD[:4]))

    assert conclusion.outcome == ShortReply(GOOD[:4], 9)


@pytest.mark.parametrize("place", range(len(GOOD)))
def test_one_flipped_bit_makes_it_damaged(place: int) -> None:
    damaged = bytearray(GOOD)
    damaged[place] ^= 0x10

    conclusion = concluded(question(), arrivals_of(bytes(damaged)))

    assert conclusion.outcome == CorruptReply(bytes(damaged), 9)


def test_a_check_sum_with_its_bytes_exchanged_stays_damaged() -> None:
    swapped = GOOD[:-2] + bytes([GOOD[-1], GOOD[-2]])

    assert isinstance(concluded(question(), arrivals_of(swapped)).outcome, CorruptReply)


def test_a_frame_is_not_ended_because_its_crc_fits_so_far() -> None:
    """The first six of these seven bytes have a right CRC already: `01 04 02 03` and `01 78`."""
    request = ReadInputRegisters(0, 1)
    asked = question(request, build_adu(1, request.pdu()), address=1)
    reply = bytes.fromhex("01 04 02 03 01 78 00")
    collector = ReplyCollector(asked)

    collector.take(arrivals_of(reply[:6])[0])
    state_at_six = collector.state()

    assert state_at_six == Receiving(1)
    outcome = concluded(asked, arrivals_of(reply)).outcome
    assert isinstance(outcome, NormalReply)
    assert outcome.adu == reply


# The ten ways in which a common client library takes a wrong thing for a good one, or loses the reason.
MISBEHAVIOURS: list[tuple[str, Question, bytes, type, object]] = [
    ("silence", question(), b"", NoReply, None),
    ("bad CRC", question(), GOOD[:-1] + b"\x09", CorruptReply, None),
    ("cut by two", question(), GOOD[:-2], ShortReply, None),
    ("a stray 00 in front", question(), b"\x00" + GOOD, NormalReply, BytesBefore(b"\x00")),
    ("another address", question(), build_adu(38, GOOD[1:-2]), ForeignReply, None),
    (
        "fewer registers",
        question(),
        build_adu(37, bytes.fromhex("03 02 00 D7")),
        UnexpectedReply,
        WrongReplyReason.OTHER_QUANTITY,
    ),
    (
        "more registers",
        question(),
        build_adu(37, bytes.fromhex("03 06 00 D7 01 C2 00 00")),
        UnexpectedReply,
        WrongReplyReason.OTHER_QUANTITY,
    ),
    (
        "function 04 for 03",
        question(),
        build_adu(37, bytes.fromhex("04 04 00 D7 01 C2")),
        UnexpectedReply,
        WrongReplyReason.OTHER_FUNCTION,
    ),
    (
        "a write confirmed with another value",
        question(WRITE, WRITE_ADU),
        build_adu(37, bytes.fromhex("06 00 0A 00 D3")),
        UnexpectedReply,
        WrongReplyReason.OTHER_VALUE,
    ),
    (
        "a write confirmed at another address",
        question(WRITE, WRITE_ADU),
        build_adu(37, bytes.fromhex("06 00 0B 00 D2")),
        UnexpectedReply,
        WrongReplyReason.OTHER_REGISTER_ADDRESS,
    ),
]


@pytest.mark.parametrize("case", MISBEHAVIOURS, ids=lambda case: case[0])
def test_each_misbehaviour_has_an_outcome_of_its_own(case: tuple[str, Question, bytes, type, object]) -> None:
    _, asked, data, kind, detail = case

    conclusion = concluded(asked, arrivals_of(data) if data else [])

    assert type(conclusion.outcome) is kind
    if isinstance(conclusion.outcome, UnexpectedReply):
        assert conclusion.outcome.reason is detail
    elif detail is not None:
        assert detail in conclusion.observations


def test_a_byte_count_that_counts_registers_is_wrong_content() -> None:
    """A right CRC over bytes whose count says otherwise."""
    frame = build_adu(37, bytes.fromhex("03 02 00 D7 01 C2"))

    outcome = concluded(question(), arrivals_of(frame)).outcome

    assert isinstance(outcome, UnexpectedReply)
    assert outcome.reason is WrongReplyReason.BYTE_COUNT_DISAGREES


@pytest.mark.parametrize("stray", [0xFF, 0xFE, 0xFC, 0xF8, 0xF0, 0xE0, 0xC0, 0x80, 0x00])
def test_a_stray_byte_in_front_costs_no_reply_at_any_address(stray: int) -> None:
    """A floating pair makes only these; a common framer loses the reply for 137 of 247 addresses."""
    for address in range(1, 248):
        adu = build_adu(address, REQUEST.pdu())
        reply = build_adu(address, GOOD[1:-2])

        conclusion = concluded(question(REQUEST, adu, address=address), arrivals_of(bytes([stray]) + reply))

        assert conclusion.outcome == NormalReply(reply, HoldingRegistersRead(0, (215, 450)))


def test_a_foreign_reply_does_not_end_the_wait() -> None:
    """Serial Line V1.02, 2.4.1: a reply from another server is ignored and the time-out runs on."""
    foreign = bytes.fromhex("26 03 04 00 D7 01 C2 9D 08")
    collector = ReplyCollector(question())
    for arrival in arrivals_of(foreign):
        collector.take(arrival)

    state = collector.state()

    assert state == Waiting()
    conclusion = concluded(question(), arrivals_of(foreign + GOOD))
    assert isinstance(conclusion.outcome, NormalReply)
    assert of_kind(conclusion, ForeignFrame) == [ForeignFrame(foreign)]


def test_a_second_answer_behind_the_first_is_kept() -> None:
    """Two devices at one address that answer in turn."""
    second = bytes.fromhex("25 03 04 00 E1 01 9A 4F FC")

    conclusion = concluded(question(), arrivals_of(GOOD + second))

    assert isinstance(conclusion.outcome, NormalReply)
    assert conclusion.outcome.adu == GOOD
    assert b"".join(conclusion.pieces) == GOOD + second
    assert of_kind(conclusion, ForeignFrame) == [ForeignFrame(second)]


def test_a_right_frame_behind_a_damaged_head_wins() -> None:
    damaged = bytes.fromhex("25 03 04 00 D7 01 C2 AE 09")

    conclusion = concluded(question(), arrivals_of(damaged + GOOD))

    assert isinstance(conclusion.outcome, NormalReply)
    assert of_kind(conclusion, BytesBefore) == [BytesBefore(damaged)]


def test_a_damaged_refusal_is_damaged_and_not_short() -> None:
    assert concluded(question(), arrivals_of(bytes.fromhex("25 83 02 80 FB"))).outcome == CorruptReply(
        bytes.fromhex("25 83 02 80 FB"), 9
    )


def test_states_on_the_way() -> None:
    collector = ReplyCollector(question())
    states = [collector.state()]
    for arrival in arrivals_of(GOOD, tuple(range(1, 9))):
        collector.take(arrival)
        states.append(collector.state())

    assert states == [Waiting(), *(Receiving(missing) for missing in range(8, 0, -1)), Whole()]


def test_as_many_bytes_as_a_reply_and_none_right_is_spoiled() -> None:
    collector = ReplyCollector(question())

    collector.take(arrivals_of(b"\x11" * 9)[0])

    assert collector.state() == Spoiled()


def test_a_broadcast_waits_for_nobody() -> None:
    """Serial Line V1.02, 2.1: nobody answers address 0."""
    adu = build_adu(0, WRITE.pdu())

    assert concluded(question(WRITE, adu, address=0), []).outcome == BroadcastSent()


def test_a_stop_keeps_what_had_arrived() -> None:
    assert concluded(question(), arrivals_of(GOOD[:3]), Ending.STOPPED).outcome == Stopped(GOOD[:3])


def test_a_stop_after_the_whole_reply_loses_nothing() -> None:
    assert isinstance(concluded(question(), arrivals_of(GOOD), Ending.STOPPED).outcome, NormalReply)


# Properties

REPLIES = st.sampled_from(
    [
        (question(), GOOD),
        (question(), REFUSAL),
        (question(WRITE, WRITE_ADU), WRITE_ADU),
        (question(ReadCoils(0, 11), build_adu(37, ReadCoils(0, 11).pdu())), build_adu(37, b"\x01\x02\xcd\x05")),
        (
            question(ReadDeviceIdentification(), build_adu(37, ReadDeviceIdentification().pdu())),
            build_adu(37, bytes.fromhex("2B 0E 01 01 00 00 01 00 02 41 42")),
        ),
    ]
)
CUTS = st.lists(st.integers(1, 60), max_size=8).map(tuple)
# Noise that holds neither our address nor another head a frame could begin with, so that no frame arises by chance.
NOISE = st.binary(max_size=6).map(lambda data: data.translate(None, bytes([37])))


@settings(max_examples=300)
@given(REPLIES, NOISE, NOISE, CUTS)
def test_a_right_reply_is_never_refused_and_every_byte_is_kept_once(
    case: tuple[Question, bytes], before: bytes, after: bytes, cuts: tuple[int, ...]
) -> None:
    asked, reply = case
    data = before + reply + after

    conclusion = concluded(asked, arrivals_of(data, cuts))

    assert isinstance(conclusion.outcome, NormalReply | ExceptionReply)
    assert conclusion.outcome.adu == reply
    assert b"".join(conclusion.pieces) == data


@settings(max_examples=300)
@given(REPLIES, st.binary(max_size=30), CUTS)
def test_how_bytes_were_lumped_decides_nothing(
    case: tuple[Question, bytes], data: bytes, cuts: tuple[int, ...]
) -> None:
    asked, reply = case
    mixed = data[:7] + reply[: len(data)] + data[7:]

    whole = concluded(asked, arrivals_of(mixed) if mixed else [])
    cut = concluded(asked, arrivals_of(mixed, cuts) if mixed else [])

    assert cut.outcome == whole.outcome
    assert cut.pieces == whole.pieces
    assert b"".join(cut.pieces) == mixed


@settings(max_examples=300)
@given(st.binary(min_size=1, max_size=40), st.sampled_from([Echo.NOT_KNOWN, Echo.HEARD, Echo.NOT_HEARD]), CUTS)
def test_every_byte_is_in_the_evidence_exactly_once(data: bytes, echo: Echo, cuts: tuple[int, ...]) -> None:
    for prefix in (b"", REQUEST_ADU, REQUEST_ADU[:5]):
        conclusion = concluded(question(echo=echo), arrivals_of(prefix + data, cuts, begin_s=-0.009))

        assert b"".join(conclusion.pieces) == prefix + data


@settings(max_examples=200)
@given(st.integers(0, 8 * len(GOOD) - 1), st.integers(0, 8 * len(GOOD) - 1))
def test_two_flipped_bits_are_never_taken_for_a_reply(first: int, second: int) -> None:
    damaged = bytearray(GOOD)
    damaged[first // 8] ^= 1 << (first % 8)
    damaged[second // 8] ^= 1 << (second % 8)

    outcome = concluded(question(), arrivals_of(bytes(damaged))).outcome

    assert isinstance(outcome, NormalReply) == (first == second)

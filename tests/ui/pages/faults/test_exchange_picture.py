"""The annotated picture says where the damage is: on the lines that do this very damage, and on bytes by hand."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import islice

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line_events import Credit, LateReply
from buswalk.domain.modbus.exchange import Turnaround
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.mended_reply import mended_replies
from buswalk.domain.modbus.observation import MarksSeen, VeryEarly
from buswalk.domain.modbus.outcome import CorruptReply
from buswalk.domain.record_reader import RecordedExchange
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.exchange_picture import EVIDENCE, exchange_state
from buswalk.ui.pages.faults.exchange_state import BoxLook
from buswalk.ui.wording import THIN_SPACE
from simulated_line.reference_codec.check_sum import closed
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.told_line import WALL_TIME
from tests.ui.pages.faults.shown_exchanges import (
    asked_until_not_clean,
    boxes_looking,
    meaning_of,
    row_named,
    shown,
)

RIGHT = ["25", "03", "04", "00", "D7", "01", "C2", "AE", "08"]
"""Server 37, function 03, four bytes: 215 and 450; CRC by the reference codec of the simulators."""


def test_the_request_is_explained_byte_by_byte() -> None:
    state = shown(ExchangeMaker().answered(22))
    asked = row_named(state, "Asked")

    assert [one.words for one in asked.boxes][:6] == ["16", "03", "00", "00", "00", "01"]
    assert [(one.first, one.count, one.words) for one in asked.braces] == [
        (0, 1, "22"),
        (1, 1, "read"),
        (2, 2, "from 0"),
        (4, 2, "1 reg."),
        (6, 2, "CRC"),
    ]
    assert state.title == f"Exchange 1 of 3{THIN_SPACE}214: 22, answered"


def test_a_stray_byte_before_a_good_reply_is_the_only_one_marked() -> None:
    """The pair floats (fault F13 of the catalogue): the pulse before the reply reads as one more byte."""
    state = shown(asked_until_not_clean("stray-byte-before-reply"))
    came = row_named(state, "Came back")

    assert boxes_looking(came, BoxLook.STRAY) == [0]
    assert meaning_of(came, 0) == "stray"
    assert [one.words for one in came.boxes[1:]] == RIGHT
    assert [meaning_of(came, at) for at in (1, 2, 3, 4, 6, 8)] == ["37", "read", "size 4", "215", "450", "CRC"]
    assert came.kind is OutcomeKind.STRAY_BYTE


def test_a_head_lost_to_a_late_release_is_put_back_as_evidence() -> None:
    """The adapter still drives while the device begins (F15): its first bytes are lost or come as others."""
    state = shown(asked_until_not_clean("adapter-releases-late"))
    came, mended = row_named(state, "Came back"), row_named(state, "If mended")

    assert boxes_looking(came, BoxLook.DAMAGED) == [0]
    assert [meaning_of(came, at) for at in (1, 3, 5)] == ["215", "450", "CRC"]
    assert [one.words for one in mended.boxes] == RIGHT
    assert boxes_looking(mended, BoxLook.PUT_BACK) == [0, 1, 2]
    assert mended.beside[0].words == EVIDENCE
    assert any("has no stop bit" in one.words for one in came.beside)


def test_one_flipped_bit_is_found_in_its_byte() -> None:
    """Even noise (F30)."""
    exchange = asked_until_not_clean("random-noise", "CorruptReply")
    state = shown(exchange)
    came, mended = row_named(state, "Came back"), row_named(state, "If mended")
    (place,) = boxes_looking(came, BoxLook.DAMAGED)

    assert [one.words for one in mended.boxes] == RIGHT
    assert boxes_looking(mended, BoxLook.PUT_BACK) == [place]
    assert int(came.boxes[place].words, 16) ^ int(RIGHT[place], 16) in {1 << bit for bit in range(8)}
    assert [one.words for at, one in enumerate(came.boxes) if at != place] == [
        one for at, one in enumerate(RIGHT) if at != place
    ]


def test_a_reply_that_stops_says_how_many_bytes_did_not_come_and_invents_none() -> None:
    """The device stops after four bytes (F49): the lost values are nobody's to tell."""
    state = shown(asked_until_not_clean("truncated-reply"))
    came = row_named(state, "Came back")

    assert [one.words for one in came.boxes[:4]] == RIGHT[:4]
    assert boxes_looking(came, BoxLook.MISSING) == [4, 5, 6, 7, 8]
    assert meaning_of(came, 4) == "5 bytes did not come"
    assert "4 of 9 bytes came" in [one.words for one in came.beside]
    assert [one.label for one in state.rows] == ["Asked", "Came back"]


def test_where_nothing_can_be_told_no_byte_is_accused() -> None:
    """Two devices at one address answer together (F10): several bytes are wrong, and no single damage fits."""
    state = shown(asked_until_not_clean("duplicate-address-together", "CorruptReply"))
    came = row_named(state, "Came back")

    assert boxes_looking(came, BoxLook.DAMAGED) == []
    assert "which byte is wrong cannot be told" in [one.words for one in came.beside]


def test_what_the_receiver_marked_is_torn_where_nothing_fits() -> None:
    exchange = asked_until_not_clean("duplicate-address-together", "CorruptReply")
    marked = [one for one in exchange.observations if isinstance(one, MarksSeen)]
    came = row_named(shown(exchange), "Came back")

    assert len(boxes_looking(came, BoxLook.DAMAGED)) == sum(len(one.marks) for one in marked)


def test_several_mendings_are_said_to_be_several() -> None:
    """A flip whose remainder lies in one byte of the CRC alone looks like a wrong last byte, too."""
    request = ReadHoldingRegisters(0, 100)
    right = closed(bytes([22, 3, 200]) + bytes(range(200)))
    exchange = replace(ExchangeMaker().answered(22), request=request)
    ambiguous = (one for one in _flipped(right) if len(mended_replies(22, request, one)) > 1)
    many = [
        shown(replace(exchange, arrivals=(Arrival(one, (), 0.0, 0.0),), outcome=CorruptReply(one, 205)))
        for one in islice(ambiguous, 1)
    ]

    assert many
    for state in many:
        beside = [one.words for one in row_named(state, "If mended").beside]
        assert beside == [EVIDENCE, "2 mended frames fit: which one is right cannot be told"]
        assert boxes_looking(row_named(state, "Came back"), BoxLook.DAMAGED) == []


def _flipped(frame: bytes) -> Iterator[bytes]:
    for bit in range(24, (len(frame) - 2) * 8):
        flipped = bytearray(frame)
        flipped[bit // 8] ^= 1 << bit % 8
        yield bytes(flipped)


def test_silence_says_what_was_expected() -> None:
    came = row_named(shown(ExchangeMaker().silent(22)), "Came back")

    assert came.boxes == ()
    assert "a frame that begins with 16 03 02" in came.beside[0].words


def test_a_late_reply_has_a_row_of_its_own() -> None:
    maker = ExchangeMaker()
    exchange = maker.silent(22)
    adu = maker.answered(22).received
    late = LateReply(22, (exchange.number,), adu, maker.now_s, Credit.CREDITED)

    state = exchange_state(RecordedExchange(1, 1, 1, exchange, (late,)), 2, WALL_TIME)

    assert state.title == "Exchange 1 of 2: 22, late reply"
    assert row_named(state, "Came late").beside[0].words == "answers this request, after its wait"


def test_all_bytes_can_be_copied() -> None:
    exchange = ExchangeMaker().answered(22)

    assert shown(exchange).copied.splitlines()[1] == exchange.received.hex(" ").upper()


def test_bytes_that_came_before_our_request_had_ended_are_no_wait() -> None:
    """A second client talks into our request: a wait below nothing would be nonsense."""
    answered = ExchangeMaker().answered(22)
    early = replace(answered, turnaround=Turnaround(-0.009, -0.001), observations=(VeryEarly(-0.001),))

    state = shown(early)

    beside = " ".join(one.words for one in row_named(state, "Asked").beside)
    assert "bytes came before it had ended" in beside
    assert "wait" not in beside
    assert any("before our request had ended" in one.words for one in state.notes)

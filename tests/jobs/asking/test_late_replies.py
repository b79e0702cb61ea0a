"""Late replies on a line that replays bytes at given times: credited, doubtful, or marked maybe old.

Frames: the running example of the trade notes (address 37), CRCs computed bit by bit as in Serial Line V1.02, 6.2.2.
Times: 9600 8N1, one character 1.0417 ms, t3.5 = 3.6458 ms (2.5.1.1).
"""

from __future__ import annotations

import pytest

from buswalk.domain.line_events import Credit, ExchangeDone, LateReply
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import ReadInputRegisters
from buswalk.domain.modbus.observation import ForeignFrame, MaybeOld
from buswalk.domain.modbus.outcome import (
    ForeignReply,
    NoReply,
    NormalReply,
    UnexpectedReply,
)
from buswalk.jobs.asking.asker import Asker, AskTiming
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import Lump, ReplayingLine

READ_TWO = ReadHoldingRegisters(0, 2)
READ_THREE = ReadHoldingRegisters(0, 3)
REPLY_TWO = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REPLY_THREE = bytes.fromhex("25 03 06 00 D7 01 C2 00 01 9F A6")
REPLY_INPUT = bytes.fromhex("25 04 04 00 D7 01 C2 AF BF")
REPLY_OF_38 = bytes.fromhex("26 03 04 00 D7 01 C2 9D 08")
WAIT = AskTiming(response_timeout_s=0.1)


def asker_on(line: ReplayingLine, clock: JumpingClock) -> tuple[Asker, KeptEvents]:
    sink = KeptEvents()
    return Asker(line, clock, sink), sink


def test_a_late_reply_in_two_lumps_is_credited_to_its_request() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.15, REPLY_TWO[:4]), Lump(0.158, REPLY_TWO[4:])))
    asker, sink = asker_on(line, clock)
    silent = asker.ask(37, READ_TWO, WAIT)

    asker.listen_until(clock.now_s() + 0.2)

    assert isinstance(silent.outcome, NoReply)
    (late,) = sink.of(LateReply)
    assert (late.server_address, late.exchange_numbers, late.credit) == (37, (1,), Credit.CREDITED)
    assert late.adu == REPLY_TWO
    assert sink.of(ExchangeDone)[0].exchange == silent


def test_two_pieces_with_a_long_silence_between_are_no_late_reply() -> None:
    """A frame is one stream of characters (2.5.1.1): what stands 100 ms apart belongs to nobody."""
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.15, REPLY_TWO[:4]), Lump(0.26, REPLY_TWO[4:])))
    asker, sink = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)

    asker.listen_until(clock.now_s() + 0.3)

    assert sink.of(LateReply) == []
    assert sink.evidence == REPLY_TWO


def test_a_late_reply_inside_the_next_exchange_is_credited_to_the_older_request() -> None:
    """Asked for three registers, the answer to the two of before comes first; the right one follows."""
    clock = JumpingClock()
    line = ReplayingLine(clock, (), (Lump(0.01, REPLY_TWO), Lump(0.05, REPLY_THREE)))
    asker, sink = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)

    second = asker.ask(37, READ_THREE, WAIT)

    assert isinstance(second.outcome, NormalReply) and second.outcome.adu == REPLY_THREE
    assert ForeignFrame(REPLY_TWO) in second.observations
    assert [one.exchange_numbers for one in sink.of(LateReply)] == [(1,)]


def test_a_late_reply_that_is_all_that_comes_is_credited_and_no_answer() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (), (Lump(0.01, REPLY_TWO),))
    asker, sink = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)

    second = asker.ask(37, READ_THREE, WAIT)

    assert isinstance(second.outcome, UnexpectedReply)
    assert [one.exchange_numbers for one in sink.of(LateReply)] == [(1,)]


def test_a_late_reply_of_another_server_inside_an_exchange_is_credited_to_that_server() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (), (Lump(0.01, REPLY_OF_38),))
    asker, sink = asker_on(line, clock)
    asker.ask(38, READ_TWO, WAIT)

    second = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(second.outcome, ForeignReply)
    assert [(one.server_address, one.exchange_numbers) for one in sink.of(LateReply)] == [(38, (1,))]


def test_a_late_reply_that_two_equal_requests_could_have_is_doubtful() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (), (), (Lump(0.01, REPLY_INPUT),))
    asker, sink = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)
    asker.ask(37, READ_TWO, WAIT)
    line.play(clock.now_s() + 0.02, REPLY_TWO)

    asker.listen_until(clock.now_s() + 0.1)

    (late,) = sink.of(LateReply)
    assert (late.exchange_numbers, late.credit) == ((1, 2), Credit.DOUBTFUL)


def test_a_reply_that_an_open_request_could_have_too_is_marked_maybe_old() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (), (Lump(0.01, REPLY_TWO),))
    asker, _ = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)

    second = asker.ask(37, READ_TWO, WAIT)

    assert MaybeOld(1) in second.observations


def test_after_a_maybe_old_reply_the_next_one_is_doubtful_between_both_requests() -> None:
    """One behind: the answer to the first came as that of the second, so the second's own is still on its way."""
    clock = JumpingClock()
    line = ReplayingLine(clock, (), (Lump(0.01, REPLY_TWO),))
    asker, sink = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)
    asker.ask(37, READ_TWO, WAIT)
    line.play(clock.now_s() + 0.05, REPLY_TWO)

    asker.listen_until(clock.now_s() + 0.1)

    (late,) = sink.of(LateReply)
    assert (late.exchange_numbers, late.credit) == ((1, 2), Credit.DOUBTFUL)


@pytest.mark.parametrize(
    ("request_", "reply"),
    [(READ_THREE, REPLY_THREE), (ReadInputRegisters(0, 2), REPLY_INPUT)],
)
def test_a_reply_of_another_length_or_function_is_not_maybe_old(
    request_: ReadHoldingRegisters | ReadInputRegisters, reply: bytes
) -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (), (Lump(0.01, reply),))
    asker, _ = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)

    second = asker.ask(37, request_, WAIT)

    assert isinstance(second.outcome, NormalReply)
    assert not any(isinstance(one, MaybeOld) for one in second.observations)


def test_silence_for_one_and_a_half_times_the_longest_turnaround_ends_the_doubt() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.04, REPLY_TWO),), (), (Lump(0.01, REPLY_TWO),))
    asker, _ = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)
    asker.ask(37, READ_TWO, WAIT)

    third = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(third.outcome, NormalReply)
    assert not any(isinstance(one, MaybeOld) for one in third.observations)


def test_a_late_reply_teaches_how_long_its_server_takes() -> None:
    """Seen at 40 ms, then late at 300 ms: after the next silence, 100 ms are not enough to end the doubt."""
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.04, REPLY_TWO),), (Lump(0.3, REPLY_TWO),), (), (Lump(0.01, REPLY_TWO),))
    asker, _ = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)
    asker.ask(37, READ_TWO, WAIT)
    asker.listen_until(clock.now_s() + 0.5)
    asker.ask(37, READ_TWO, WAIT)

    last = asker.ask(37, READ_TWO, WAIT)

    assert MaybeOld(3) in last.observations

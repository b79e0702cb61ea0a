"""The Asker on a line that replays bytes at given times.

Frames: the running example of the trade notes (address 37), CRCs computed bit by bit as in Serial Line V1.02, 6.2.2.
Times: 9600 8N1, one character 1.0417 ms, t3.5 = 3.6458 ms (2.5.1.1).
"""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.line_traits import Echo
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, SettingsApplied, StrayArrival
from buswalk.domain.modbus.exchange import NeverSent
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.observation import BytesAfter
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    EchoOnly,
    ExceptionReply,
    NoReply,
    NormalReply,
    NotSent,
    ShortReply,
)
from buswalk.domain.modbus.outcome import Stopped as StoppedOutcome
from buswalk.jobs.asking.asker import MOST_BYTES, Asker, AskTiming
from buswalk.jobs.asking.stopped import Stopped
from tests.fakes.failing_line import FailingLine
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import Lump, ReplayingLine

CHARACTER_S = 10 / 9600
T35_S = 3.5 * CHARACTER_S
READ_TWO = ReadHoldingRegisters(0, 2)
REQUEST_TWO = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY_TWO = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REPLY_OF_38 = bytes.fromhex("26 03 04 00 D7 01 C2 9D 08")
REFUSAL = bytes.fromhex("25 83 02 80 FA")
FOREIGN_REQUEST = bytes.fromhex("31 03 00 00 00 02 C1 FB")
WAIT = AskTiming(response_timeout_s=0.1)


def asker_on(line: ReplayingLine, clock: JumpingClock) -> tuple[Asker, KeptEvents]:
    sink = KeptEvents()
    return Asker(line, clock, sink), sink


def test_exchanges_count_from_one_and_carry_every_byte() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO),), (Lump(0.02, REFUSAL),))
    asker, sink = asker_on(line, clock)

    first, second = asker.ask(37, READ_TWO, WAIT), asker.ask(37, READ_TWO, WAIT)

    assert (first.number, second.number) == (1, 2)
    assert first.request_adu == REQUEST_TWO
    assert isinstance(first.outcome, NormalReply) and first.received == REPLY_TWO
    assert isinstance(second.outcome, ExceptionReply) and second.outcome.exception_code == 2
    assert [one.exchange for one in sink.of(ExchangeDone)] == [first, second]


def test_the_wait_for_the_first_byte_begins_at_the_end_of_the_request() -> None:
    """Serial Line V1.02, 2.4.1: the time-out counts from the request; 8 characters are 8.3 ms at 9600."""
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.099, REPLY_TWO),))
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(exchange.outcome, NormalReply)


def test_silence_lasts_the_time_out_and_the_latency() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(exchange.outcome, NoReply)
    sent_s, _ = line.writes[0]
    assert exchange.ended_s == pytest.approx(sent_s + 8 * CHARACTER_S + 0.1 + line.traits.latency_s)


@pytest.mark.parametrize("pause_s", [0.0, 0.002, 0.007, 0.010])
def test_a_pause_of_some_milliseconds_inside_the_reply_is_tolerated(pause_s: float) -> None:
    """Devices pause up to 10 ms inside a frame (common practice, no source): the bytes still make one reply."""
    clock = JumpingClock()
    later_s = 0.02 + 6 * CHARACTER_S + pause_s
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO[:3]), Lump(later_s, REPLY_TWO[3:])))
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(exchange.outcome, NormalReply)


def test_a_reply_that_stops_short_is_closed_soon_after() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO[:6]),))
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, AskTiming(5.0))

    assert isinstance(exchange.outcome, ShortReply)
    assert exchange.ended_s < 0.1


def test_bytes_close_behind_the_reply_belong_to_its_exchange() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO), Lump(0.023, b"\x00")))
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert exchange.observations == (BytesAfter(b"\x00"),)


def test_between_two_frames_the_line_is_silent_for_three_and_a_half_characters() -> None:
    """Serial Line V1.02, 2.5.1.1."""
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO),), (Lump(0.02, REPLY_TWO),))
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, WAIT)
    asker.ask(37, READ_TWO, WAIT)

    assert line.writes[1][0] - exchange.arrivals[-1].not_after_s >= T35_S - 1e-9


def test_a_minimum_gap_counts_from_any_frame() -> None:
    """A frame of somebody else, 30 ms before we would be allowed to send, puts it off."""
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO),))
    asker, _ = asker_on(line, clock)
    asker.ask(37, READ_TWO, WAIT)
    foreign_at_s = clock.now_s() + 0.47
    line.play(foreign_at_s, FOREIGN_REQUEST)

    asker.ask(37, READ_TWO, AskTiming(0.1, minimum_gap_s=0.5))

    assert line.writes[1][0] == pytest.approx(foreign_at_s + 0.5)


def test_bytes_that_wait_before_a_request_are_evidence_of_their_own() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO),))
    asker, sink = asker_on(line, clock)
    line.play(0.001, b"\xf8\x00")

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(exchange.outcome, NormalReply) and exchange.received == REPLY_TWO
    assert [one.arrival.data for one in sink.of(StrayArrival)] == [b"\xf8\x00"]


def test_a_line_that_never_becomes_quiet_is_not_asked() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    asker, _ = asker_on(line, clock)
    for number in range(2000):
        line.play(number * 0.002, b"\x55")

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(exchange.outcome, NotSent) and isinstance(exchange.sent, NeverSent)
    assert line.writes == []


def test_a_server_that_never_stops_sending_does_not_hold_the_exchange() -> None:
    clock = JumpingClock()
    endless = tuple(Lump(0.02 + number * 0.01, b"\xaa" * 63) for number in range(500))
    line = ReplayingLine(clock, endless)
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(exchange.outcome, CorruptReply)
    assert MOST_BYTES <= len(exchange.received) < MOST_BYTES + 63


def test_one_that_never_stops_but_sends_slowly_does_not_hold_it_either() -> None:
    """A byte each 20 ms would take 20 s to fill the limit; behind the time-out one frame of any length is sat out."""
    clock = JumpingClock()
    line = ReplayingLine(clock, tuple(Lump(0.02 + number * 0.02, b"\xaa") for number in range(2000)))
    asker, _ = asker_on(line, clock)

    exchange = asker.ask(37, READ_TWO, WAIT)

    assert isinstance(exchange.outcome, CorruptReply)
    assert exchange.ended_s < WAIT.response_timeout_s + 256 * line.settings.character_s + 0.3


def test_an_echo_heard_once_is_expected_from_then_on() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.0, REQUEST_TWO), Lump(0.02, REPLY_TWO)), (Lump(0.0, REQUEST_TWO),))
    asker, _ = asker_on(line, clock)

    asker.ask(37, READ_TWO, WAIT)
    second = asker.ask(37, READ_TWO, WAIT)

    assert asker.traits.echo is Echo.HEARD
    assert isinstance(second.outcome, EchoOnly)


def test_a_reply_without_echo_shows_that_the_adapter_does_not_hear_itself() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, REPLY_TWO),))
    asker, _ = asker_on(line, clock)

    asker.ask(37, READ_TWO, WAIT)

    assert asker.traits.echo is Echo.NOT_HEARD


def test_settings_change_between_exchanges_and_are_told() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    asker, sink = asker_on(line, clock)

    asker.use_settings(SerialSettings.of(19200, "8E1"))
    asker.use_settings(SerialSettings.of(19200, "8E1"))

    assert [one.settings for one in sink.of(SettingsApplied)] == [SerialSettings.of(19200, "8E1")]
    assert line.settings == SerialSettings.of(19200, "8E1")


def test_a_stop_closes_the_exchange_with_what_had_come() -> None:
    clock = JumpingClock()
    line = FailingLine(clock, 3, Stopped(), (Lump(0.02, REPLY_TWO[:4]),))
    asker, sink = asker_on(line, clock)

    with pytest.raises(Stopped):
        asker.ask(37, READ_TWO, WAIT)

    (done,) = sink.of(ExchangeDone)
    assert done.exchange.outcome == StoppedOutcome(REPLY_TWO[:4])


def test_after_a_stop_the_line_is_listened_to_until_it_is_quiet() -> None:
    clock = JumpingClock()
    line = FailingLine(clock, 3, Stopped(), (Lump(0.02, REPLY_TWO[:4]), Lump(0.0225, REPLY_TWO[4:])))
    asker, sink = asker_on(line, clock)

    with pytest.raises(Stopped):
        asker.ask(37, READ_TWO, WAIT)

    (done,) = sink.of(ExchangeDone)
    assert isinstance(done.exchange.outcome, NormalReply)


def test_a_stop_between_a_write_and_its_read_back_waits_for_the_read_back() -> None:
    clock = JumpingClock()
    line = FailingLine(clock, 2, Stopped(), (Lump(0.02, REPLY_TWO),), (Lump(0.02, REPLY_TWO),))
    asker, sink = asker_on(line, clock)

    with pytest.raises(Stopped), asker.without_stopping():
        asker.ask(37, READ_TWO, WAIT)
        asker.ask(37, READ_TWO, WAIT)

    assert [type(one.exchange.outcome) for one in sink.of(ExchangeDone)] == [NormalReply, NormalReply]


def test_a_vanished_port_leaves_what_had_come_as_evidence() -> None:
    clock = JumpingClock()
    gone = PortError("port", PortProblem.VANISHED, "the port is gone")
    line = FailingLine(clock, 3, gone, (Lump(0.02, REPLY_TWO[:4]),))
    asker, sink = asker_on(line, clock)

    with pytest.raises(PortError):
        asker.ask(37, READ_TWO, WAIT)

    assert sink.evidence == REPLY_TWO[:4]


LUMPS = st.lists(
    st.tuples(
        st.floats(0.0, 0.25),
        st.sampled_from(
            [REPLY_TWO, REPLY_TWO[:5], REPLY_OF_38, REFUSAL, FOREIGN_REQUEST, REQUEST_TWO, b"\x00", b"\xff"]
        )
        | st.binary(min_size=1, max_size=12),
    ),
    max_size=6,
)


@settings(max_examples=150)
@given(st.lists(LUMPS, min_size=1, max_size=4))
def test_whatever_comes_every_byte_is_told_once_and_silences_are_kept(plays: list[list[tuple[float, bytes]]]) -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, *(tuple(Lump(at_s, data) for at_s, data in play) for play in plays))
    asker, sink = asker_on(line, clock)
    handed_over = sorted(b"".join(data for play in plays for _, data in play))

    for _ in plays:
        asker.ask(37, READ_TWO, WAIT)
    asker.listen_until(clock.now_s() + 1.0)

    assert sorted(sink.evidence) == handed_over
    ends = [(one.arrival.not_after_s) for one in sink.of(StrayArrival)]
    for done in sink.of(ExchangeDone):
        ends += [arrival.not_after_s for arrival in done.exchange.arrivals]
    for begin_s, _ in line.writes:
        assert all(end_s <= begin_s - T35_S + 1e-9 for end_s in ends if end_s <= begin_s)
    begins = [begin_s for begin_s, _ in line.writes]
    assert all(later - earlier >= 8 * CHARACTER_S + T35_S - 1e-9 for earlier, later in pairwise(begins))

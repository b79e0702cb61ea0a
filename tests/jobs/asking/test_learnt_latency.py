"""What replies teach of the latency of adapter and system.

Times: 9600 8N1, one character 1.0417 ms. The figures are worked out by hand from the times at which lumps are played;
the bounds are held against a model of an adapter whose every delay is known.
"""

from __future__ import annotations

from dataclasses import replace
from itertools import accumulate, groupby

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import ASSUMED_LATENCY_S, Echo, LatencySource, LineTraits
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.exchange import Exchange, NoTurnaround
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.outcome import NormalReply
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.learnt_latency import REPLIES_NEEDED, latency_bounds
from tests.fakes.answering_line import with_check_sum
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import PLAIN_TRAITS, Lump, ReplayingLine

AT_9600 = SerialSettings.of(9600, "8N1")
CHARACTER_S = 10 / 9600
READ_TWO = ReadHoldingRegisters(0, 2)
REQUEST_TWO = bytes.fromhex("25 03 00 00 00 02 C2 EF")
REPLY_TWO = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
REPLY_OF_38 = bytes.fromhex("26 03 04 00 D7 01 C2 9D 08")
READ_TWELVE = ReadHoldingRegisters(0, 12)
REPLY_TWELVE = with_check_sum(bytes((0x25, 0x03, 24)) + bytes(24))
READ_FIFTY = ReadHoldingRegisters(0, 50)
REPLY_FIFTY = with_check_sum(bytes((0x25, 0x03, 100)) + bytes(100))
WAIT = AskTiming(response_timeout_s=0.1)
ASSUMED = replace(PLAIN_TRAITS, latency_s=ASSUMED_LATENCY_S, latency_source=LatencySource.ASSUMED)


def single_bytes(reply: bytes, turnaround_s: float) -> tuple[Lump, ...]:
    """Each byte as soon as it has passed."""
    return tuple(Lump(turnaround_s + (at + 1) * CHARACTER_S, reply[at : at + 1]) for at in range(len(reply)))


def one_lump(reply: bytes, turnaround_s: float, late_s: float = 0.0) -> tuple[Lump, ...]:
    """All bytes so long after the last one has passed."""
    return (Lump(turnaround_s + len(reply) * CHARACTER_S + late_s, reply),)


def asker_on(*replies: tuple[Lump, ...], traits: LineTraits = ASSUMED) -> Asker:
    clock = JumpingClock()
    line = ReplayingLine(clock, *replies)
    line.traits = traits
    return Asker(line, clock, KeptEvents())


def told(asker: Asker) -> tuple[object, LatencySource]:
    return asker.traits.latency_s, asker.traits.latency_source


def test_replies_byte_by_byte_soon_after_the_request_lower_the_assumed_latency() -> None:
    """Turnaround 4 ms: no byte was later than that, and it cannot be told how much of it was the server's."""
    asker = asker_on(*[single_bytes(REPLY_TWO, 0.004)] * REPLIES_NEEDED)

    for _ in range(REPLIES_NEEDED - 1):
        asker.ask(37, READ_TWO, WAIT)
    before = told(asker)
    asker.ask(37, READ_TWO, WAIT)

    assert before == (ASSUMED_LATENCY_S, LatencySource.ASSUMED)
    assert told(asker) == (pytest.approx(0.004), LatencySource.LEARNT)


def test_one_lump_proves_that_its_first_byte_waited_for_the_last() -> None:
    """29 bytes at once: the first of them is 28 characters late, more than assumed."""
    asker = asker_on(one_lump(REPLY_TWELVE, 0.05))

    asker.ask(37, READ_TWELVE, WAIT)

    assert told(asker) == (pytest.approx(28 * CHARACTER_S), LatencySource.LEARNT)


def test_a_long_lump_may_have_waited_for_its_count_and_proves_nothing() -> None:
    asker = asker_on(one_lump(REPLY_FIFTY, 0.05))

    asker.ask(37, READ_FIFTY, WAIT)

    assert told(asker) == (ASSUMED_LATENCY_S, LatencySource.ASSUMED)


def test_of_a_slow_server_nothing_is_learnt() -> None:
    """Its turnaround of 60 ms could all be latency."""
    asker = asker_on(*[single_bytes(REPLY_TWO, 0.06)] * 20)

    for _ in range(20):
        asker.ask(37, READ_TWO, WAIT)

    assert told(asker) == (ASSUMED_LATENCY_S, LatencySource.ASSUMED)


def test_the_quickest_server_tells_most() -> None:
    replies = [single_bytes(REPLY_TWO, 0.06), single_bytes(REPLY_OF_38, 0.005)] * REPLIES_NEEDED
    asker = asker_on(*replies)

    for _ in range(REPLIES_NEEDED):
        asker.ask(37, READ_TWO, WAIT)
        asker.ask(38, READ_TWO, WAIT)

    assert told(asker) == (pytest.approx(0.005), LatencySource.LEARNT)


def test_one_later_reply_raises_it_again() -> None:
    quick, late = single_bytes(REPLY_TWO, 0.004), single_bytes(REPLY_TWO, 0.011)
    asker = asker_on(*[quick] * REPLIES_NEEDED, late)

    for _ in range(REPLIES_NEEDED + 1):
        asker.ask(37, READ_TWO, WAIT)

    assert told(asker) == (pytest.approx(0.011), LatencySource.LEARNT)


def test_what_was_learnt_shortens_the_wait_for_silent_servers() -> None:
    asker = asker_on(*[single_bytes(REPLY_TWO, 0.004)] * REPLIES_NEEDED)
    for _ in range(REPLIES_NEEDED):
        asker.ask(37, READ_TWO, WAIT)

    silent = asker.ask(99, READ_TWO, WAIT)

    assert isinstance(silent.sent, Sent)
    assert silent.ended_s - silent.sent.end_not_after_s == pytest.approx(0.1 + 0.004)


def test_a_reply_with_any_doubt_teaches_nothing() -> None:
    """A stray byte before it: whether the bytes behind followed at once is not known."""
    stray = (Lump(0.002, b"\x00"), *single_bytes(REPLY_TWO, 0.004))
    asker = asker_on(*[stray] * REPLIES_NEEDED)

    for _ in range(REPLIES_NEEDED):
        asker.ask(37, READ_TWO, WAIT)

    assert told(asker) == (ASSUMED_LATENCY_S, LatencySource.ASSUMED)


def test_behind_our_own_echo_only_the_upper_bound_holds() -> None:
    """Some adapters give the echo back at once and not with its bits, so its lumps say nothing."""
    echoed = (Lump(0.0, REQUEST_TWO), *single_bytes(REPLY_TWO, 0.004))
    asker = asker_on(*[echoed] * REPLIES_NEEDED)

    for _ in range(REPLIES_NEEDED):
        asker.ask(37, READ_TWO, WAIT)

    assert asker.traits.echo is Echo.HEARD
    assert told(asker) == (pytest.approx(0.004), LatencySource.LEARNT)


@pytest.mark.parametrize("source", [LatencySource.ASKED, LatencySource.EXACT])
def test_what_the_system_says_stands(source: LatencySource) -> None:
    traits = replace(PLAIN_TRAITS, latency_s=0.016, latency_source=source)
    asker = asker_on(*[single_bytes(REPLY_TWO, 0.004)] * REPLIES_NEEDED, traits=traits)

    for _ in range(REPLIES_NEEDED):
        asker.ask(37, READ_TWO, WAIT)

    assert told(asker) == (0.016, source)


def test_without_wire_time_a_lump_proves_nothing_and_quick_replies_bound_it_all_the_same() -> None:
    traits = replace(ASSUMED, spends_wire_time=False)
    asker = asker_on(*[(Lump(0.003, REPLY_TWELVE),)] * REPLIES_NEEDED, traits=traits)

    for _ in range(REPLIES_NEEDED):
        asker.ask(37, READ_TWELVE, WAIT)

    assert told(asker) == (pytest.approx(0.003), LatencySource.LEARNT)


@given(
    shares=st.lists(st.floats(0.0, 1.0), min_size=29, max_size=29),
    latency_ms=st.sampled_from((0.0, 1.0, 16.0, 50.0)),
    turnaround_ms=st.floats(0.0, 50.0),
    looked_away_ms=st.floats(0.0, 30.0),
)
@settings(max_examples=200)
def test_the_bounds_hold_whatever_an_adapter_does(
    shares: list[float], latency_ms: float, turnaround_ms: float, looked_away_ms: float
) -> None:
    """Byte by byte with known delays, in order; what is there when the program looks is read at once."""
    sent = Sent(0.0, 8 * CHARACTER_S, 8 * CHARACTER_S + 0.002)
    passed_s = [sent.end_not_before_s + turnaround_ms / 1000 + (at + 1) * CHARACTER_S for at in range(29)]
    due_s = (end_s + share * latency_ms / 1000 for end_s, share in zip(passed_s, shares, strict=True))
    handed_s = list(accumulate(due_s, max))
    step_s = max(looked_away_ms / 1000, 1e-9)
    arrivals, at = [], 0
    for look, group in groupby(handed_s, key=lambda time_s: int(time_s / step_s) + 1):
        count = len(list(group))
        read_s = look * step_s
        arrivals.append(Arrival(REPLY_TWELVE[at : at + count], (), read_s - step_s - ASSUMED_LATENCY_S, read_s))
        at += count
    outcome = NormalReply(REPLY_TWELVE, HoldingRegistersRead(0, (0,) * 12))
    exchange = Exchange(1, 37, READ_TWELVE, b"", AT_9600, sent, tuple(arrivals), 1.0, outcome, (), NoTurnaround())

    bounds = latency_bounds(exchange, ASSUMED)

    assert bounds is not None
    latest_s = max(handed - passed for handed, passed in zip(handed_s, passed_s, strict=True))
    assert bounds.at_least_s <= latest_s + 1e-6
    assert bounds.at_most_s >= latest_s - 1e-6

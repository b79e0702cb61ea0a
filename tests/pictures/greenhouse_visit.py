"""An invented visit to a greenhouse with two bays, as a stream: what the pictures show."""

from __future__ import annotations

from buswalk.bus.messages import RecordTold
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply, StrayArrival
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.observation import BytesBefore
from buswalk.domain.modbus.outcome import CorruptReply, ShortReply
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import JobStarted, PortFailed, PortOpened, SessionStarted
from tests.fakes.exchanges import USUAL, ExchangeMaker
from tests.fakes.played_feed import PlayedFeed

BEGAN_AT = "2024-03-05T09:41:00+01:00"
PORT = "COM5"
VISIT_S = 1990.0
TURNAROUNDS_S = {11: 0.014, 21: 0.012, 22: 0.013, 23: 0.015, 31: 0.007, 32: 0.007, 41: 0.022, 51: 0.09, 56: 0.014}
TRAITS = LineTraits(
    carries_speed=True,
    carries_framing=True,
    spends_wire_time=True,
    mark_reporting=MarkReporting.PER_BYTE,
    echo=Echo.NOT_HEARD,
    latency_s=0.001,
    latency_source=LatencySource.ASKED,
    settings_change_s=0.01,
    is_simulated=False,
)
FOREIGN = build_adu(60, bytes([0x03, 0x00, 0x00, 0x00, 0x0A]))


def begin(feed: PlayedFeed) -> None:
    """Open the port."""
    feed.play_events(
        SessionStarted(BEGAN_AT, factor=1.0, is_simulated=False, program="buswalk"),
        PortOpened(PORT, "adapter 00A3", USUAL, TRAITS, 0.0),
    )
    feed.play(RecordTold(RecordState("bay-visit-1", "", 3190, is_simulated=False)))


def watch(feed: PlayedFeed) -> None:
    """Ask all devices in turn; most outcomes there are come up."""
    maker = ExchangeMaker(VISIT_S)
    answered = {address: lambda at=address: maker.answered(at, TURNAROUNDS_S[at]) for address in TURNAROUNDS_S}
    events: list[object] = [JobStarted(1, "watch", VISIT_S - 500.0)]
    events += [ExchangeDone(answered[at]()) for at in (56, 21, 22, 23, 31, 32, 41, 51)]
    events.append(ExchangeDone(maker.made(22, CorruptReply(b"\x00" * 9, 9))))
    events.append(ExchangeDone(maker.silent(24)))
    events += [ExchangeDone(answered[at]()) for at in (21, 11)]
    maker.now_s += 0.7
    asked = maker.silent(51)
    late = build_adu(51, bytes([0x03, 0x02, 0x00, 0x01]))
    events += [ExchangeDone(asked), LateReply(51, (asked.number,), late, maker.now_s + 0.02, Credit.CREDITED)]
    events += [ExchangeDone(answered[at]()) for at in (56, 51)]
    events.append(ExchangeDone(maker.made(22, ShortReply(b"\x16\x03\x02", 7))))
    events += [ExchangeDone(answered[23]()), ExchangeDone(maker.refused(11)), ExchangeDone(answered[32]())]
    events += [StrayArrival(Arrival(FOREIGN, (), maker.now_s, maker.now_s)) for _ in range(2)]
    events += [ExchangeDone(answered[at]()) for at in (51, 11)]
    events.append(ExchangeDone(maker.answered(22, 0.013, BytesBefore(b"\x00"))))
    events += [ExchangeDone(answered[at]()) for at in (23, 41)]
    feed.play_events(*events, line_time_s=maker.now_s)


def lose_one(feed: PlayedFeed) -> None:
    """One device does not answer, again."""
    maker = ExchangeMaker(VISIT_S + 2.6)
    feed.play_events(*[ExchangeDone(maker.silent(24)) for _ in range(2)], line_time_s=maker.now_s)


def lose_port(feed: PlayedFeed) -> None:
    """The adapter is pulled out."""
    feed.play_events(PortFailed(PORT, "it is gone", VISIT_S + 10.0), line_time_s=VISIT_S + 33.0)

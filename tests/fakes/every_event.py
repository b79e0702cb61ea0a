"""At least one event of every kind, every outcome and every observation."""

from __future__ import annotations

import math
from dataclasses import replace
from decimal import Decimal

from buswalk.domain.line.arrival import Arrival, ByteMark, CountedMarks, LineMark
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import (
    Credit,
    ExchangeDone,
    LateReply,
    OtherClientNoticed,
    SettingsApplied,
    StrayArrival,
)
from buswalk.domain.listening.client_cycle import CycleHeard
from buswalk.domain.listening.client_harm import Harm, OtherClientSuffers
from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.listening.who_asks import RepeatedRequest, UnaskedReplies
from buswalk.domain.loss_timers.unasked import ServerAskedAgain, ServerUnasked, Stage
from buswalk.domain.modbus.exchange import Exchange, NeverSent, NoTurnaround, Turnaround
from buswalk.domain.modbus.frame_splitter import Frame, Role
from buswalk.domain.modbus.functions.read_device_identification import IdentificationObject
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.observation import (
    BytesAfter,
    BytesBefore,
    EchoDamaged,
    EchoHeard,
    ForeignFrame,
    MarksSeen,
    MaybeOld,
    PauseInside,
    VeryEarly,
)
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ExceptionReply,
    ForeignReply,
    NoReply,
    NormalReply,
    NotSent,
    NotSentReason,
    Outcome,
    ShortReply,
    Stopped,
    UnexpectedReply,
)
from buswalk.domain.modbus.request import WrongReplyReason
from buswalk.domain.registers.map_learning.plan import (
    LearningBegan,
    LearningForecast,
    LearningGivenUp,
    MapLearnt,
    MapProgress,
    TableNotServed,
)
from buswalk.domain.registers.point import Access, Between, BitField, NamedValue, Point, WriteType
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.read_plan import WhyLeftOut
from buswalk.domain.registers.samples import PointsWatched, Quality, Sample, SamplesTaken
from buswalk.domain.registers.sunspec.chain import Chain, LocatedModel
from buswalk.domain.registers.sunspec.events import ChainRead, ModelRead, NoChain
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import INT16, ByteOrder, Layout, ValueType, WordOrder
from buswalk.domain.search.events import (
    AdapterHearsItself,
    AnswersEverywhere,
    AskedRested,
    CycleLeavesNoRoom,
    Doubt,
    EverythingIsAnswered,
    Found,
    FramingNotCarried,
    GoesBetween,
    HeldStill,
    Identity,
    LineChatters,
    ListenedFirst,
    LivingLine,
    PassBegan,
    SearchEnd,
    SearchEnded,
    SearchForecast,
    SearchProgress,
    SettingsNotCarried,
    SilentAskedWith,
    TwoStopBitsLearnt,
    Unclear,
    Verdict,
)
from buswalk.domain.search.ping import Pinged
from buswalk.domain.search.thorough import Pass
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.mark_end import NO_END, EndsAt
from buswalk.domain.visit.session_events import (
    EchoTested,
    JobEnded,
    JobEndKind,
    JobStarted,
    MarkEdited,
    MarkEnded,
    MarkMade,
    MarkSource,
    MarkTakenBack,
    PlanKept,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
    TraitsLearnt,
)
from buswalk.domain.watching.events import (
    DeviceAbsent,
    DeviceBack,
    PointNotRead,
    PointRefused,
    PointTold,
    WatchProgress,
)
from tests.fakes.answering_line import with_check_sum
from tests.fakes.every_cycle import FORECASTED
from tests.fakes.every_presence import EVERY_PRESENCE
from tests.fakes.every_write import EVERY_WRITE

SETTINGS = SerialSettings.of(9600, "8E1")
OTHER_SETTINGS = SerialSettings.of(19_200, "8N2")
TRAITS = LineTraits(
    carries_speed=True,
    carries_framing=False,
    spends_wire_time=True,
    mark_reporting=MarkReporting.COUNTED,
    echo=Echo.NOT_KNOWN,
    latency_s=0.0165,
    latency_source=LatencySource.LEARNT,
    settings_change_s=0.0007,
    is_simulated=False,
)
STARTED = SessionStarted("2026-03-05T08:12:31.250+01:00", 1.0, is_simulated=False, program="buswalk 0.0")
SIMULATED = replace(STARTED, is_simulated=True, factor=10.0)
REQUEST = with_check_sum(bytes.fromhex("25 03 00 6B 00 01"))
"""To read register 108, as in Application V1.1b3, 6.3."""
REPLY = with_check_sum(bytes.fromhex("25 03 02 02 2B"))
REFUSAL = with_check_sum(bytes.fromhex("25 83 02"))
FOREIGN = with_check_sum(bytes.fromhex("11 03 02 00 64"))
MARKS = (ByteMark(2, LineMark.PARITY_ERROR), CountedMarks(3, LineMark.FRAMING_ERROR))
NORMAL = NormalReply(REPLY, HoldingRegistersRead(0x6B, (555,)))


def exchange(number: int, outcome: Outcome = NORMAL, at_s: float = 0.0, server_address: int = 37) -> Exchange:
    """Return one exchange; what came is what its outcome says."""
    if isinstance(outcome, NotSent):
        sent: Sent | NeverSent = NeverSent(at_s)
    else:
        sent = Sent(at_s, _later(at_s, 0.009166667), _later(at_s, 0.009666667))
    received = b"".join(getattr(outcome, name, b"") for name in ("adu", "received", "heard"))
    arrivals = (Arrival(received, (), _later(at_s, 0.03), _later(at_s, 0.046)),) if received else ()
    return Exchange(
        number=number,
        server_address=server_address,
        request=ReadHoldingRegisters(0x6B, 1),
        request_adu=with_check_sum(bytes([server_address]) + REQUEST[1:-2]),
        settings=SETTINGS,
        sent=sent,
        arrivals=arrivals,
        ended_s=_later(at_s, 0.05),
        outcome=outcome,
        observations=(),
        turnaround=Turnaround(-0.000_5, 0.021_3) if received else NoTurnaround(),
    )


def _later(at_s: float, seconds: float) -> float:
    """Return a time of whole nanoseconds, as those of the record are."""
    return round(at_s + seconds, 9)


OUTCOMES: tuple[Outcome, ...] = (
    NORMAL,
    ExceptionReply(REFUSAL, 2),
    NoReply(0.0765),
    CorruptReply(REPLY[:-1] + b"\x00", 7),
    ShortReply(REPLY[:3], 7),
    ForeignReply(FOREIGN, 17),
    UnexpectedReply(FOREIGN, WrongReplyReason.OTHER_QUANTITY, "so many were not asked for"),
    EchoOnly(0.1),
    DamagedEcho(b"\x25\x03\xff"),
    BroadcastSent(),
    NotSent(NotSentReason.LINE_NOT_QUIET, "somebody kept sending"),
    Stopped(b""),
)
OBSERVED = replace(
    exchange(13, at_s=1.5),
    arrivals=(Arrival(b"\x00" + REPLY[:2], MARKS, 1.53, 1.54), Arrival(REPLY[2:], (), 1.55, 1.57)),
    observations=(
        EchoHeard(8),
        EchoDamaged(b"\x01"),
        BytesBefore(b"\x00"),
        BytesAfter(b"\xff\xff"),
        ForeignFrame(FOREIGN),
        PauseInside(2, 0.00175),
        MarksSeen(MARKS),
        VeryEarly(0.0001),
        MaybeOld(12),
    ),
)
WRITTEN = replace(
    exchange(14, NoReply(1.0), at_s=1.7),
    request=WriteSingleRegister(1, 3),
    request_adu=with_check_sum(bytes.fromhex("25 06 00 01 00 03")),
)
FOUND = Found(
    37,
    SETTINGS,
    3,
    is_refusal=False,
    answered=2,
    confirmations=2,
    doubts=(Doubt.NEEDS_A_PAUSE, Doubt.SECOND_ANSWER),
    identity=Identity((IdentificationObject(0, b"Window drive"),), b"\x11\xff"),
    exchange_numbers=(1, 13),
)
UNCLEAR = Unclear(9, OTHER_SETTINGS, "something answers, never whole", (3,))
EVERYWHERE = AnswersEverywhere(OTHER_SETTINGS, (1, 2, 3), 3, 0)
DEVICES = (PlannedDevice(1, 37, "Süd, Tür 3", SETTINGS, "dial", "behind the boiler"), PlannedDevice(2, 38, "north"))
MODEL = LocatedModel(1, 40002, 66)
BLOCK = Block(Table.HOLDING_REGISTERS, 0, 99)
TEMPERATURE = Point(
    "supply_temperature",
    Table.INPUT_REGISTERS,
    18,
    INT16,
    words="supply temperature",
    scale=Decimal("0.1"),
    offset=Decimal("-0.05"),
    unit="°C",
    range=Between(Decimal(-40), Decimal(120)),
    decimals=1,
    sentinels=(0x8000,),
)
FAN = Point(
    "fan",
    Table.HOLDING_REGISTERS,
    20,
    ValueType(Layout.UNSIGNED, 32, WordOrder.LOW_FIRST, ByteOrder.EXCHANGED),
    named=(NamedValue(0, "off"), NamedValue(1, "on")),
    bit_fields=(BitField("alarm", 3), BitField("stage", 4, 2, (NamedValue(2, "second"),))),
    access=Access.READ_WRITE,
    write_type=WriteType.EEPROM,
    clears_on_read=True,
    caution="starts the fan",
)
WATCHED = PointsWatched(37, SETTINGS, "air-handler", (TEMPERATURE, FAN), 2.1771)
TAKEN = SamplesTaken(
    1,
    37,
    SETTINGS,
    (
        Sample("supply_temperature", (0x00D6,), 21.35, Quality.GOOD),
        Sample("fan", (1, 0), 1.0, Quality.DOUBTFUL),
        Sample("text", (0x4142, 0x4300, 0), math.nan, Quality.GOOD),
    ),
    2.178,
    0.0005,
)
REFUSED = SamplesTaken(2, 37, SETTINGS, (Sample("fan", (), math.nan, Quality.REFUSED),), 2.179, 0.0)
BEFORE_THE_MARKS: tuple[object, ...] = (
    STARTED,
    PortOpened("/dev/ttyUSB0", "1A2B:0001 no. 7", SETTINGS, TRAITS, 0.125),
    TraitsLearnt(TRAITS, 0.2),
    PortFailed("/dev/ttyUSB0", "it is gone", 0.3),
    PortReturned("/dev/ttyUSB1", 4.5, 0.4),
    JobStarted(1, "search", 0.5),
    SettingsApplied(OTHER_SETTINGS, 0.6),
    OtherClientNoticed(37, 0.61),
    ServerUnasked(31, "fan, bay 1", "stops", 10.0, 8.0, Stage.NEAR, 0.62),
    ServerAskedAgain(31, "fan, bay 1", 9.0, 0.63),
    ListenedFirst(SETTINGS, 10.0, Verdict.BABBLE, 12),
    LivingLine(Verdict.TRAFFIC, "another client is alive"),
    SettingsNotCarried(SETTINGS),
    FramingNotCarried((SETTINGS, OTHER_SETTINGS)),
    AskedRested(SETTINGS, 247, 1.25, 300.5),
    AdapterHearsItself(SETTINGS),
    LineChatters(SETTINGS, 31.5, 6),
    EverythingIsAnswered(SETTINGS),
    PassBegan(9600, Pass.SECOND),
    SearchProgress(20, 400, SETTINGS, 300.0),
    SearchForecast(0, 0.25, 5.0, 26.0, 490.5),
    TwoStopBitsLearnt(is_sent=True, shown_by=37),
    SilentAskedWith((1, 3), (SETTINGS, OTHER_SETTINGS), (5, 7)),
    HeldStill(SETTINGS, (3, 4)),
    GoesBetween(CycleHeard(SETTINGS, 2, 2.0, 1.2, 0.6), (SETTINGS,)),
    CycleLeavesNoRoom(CycleHeard(SETTINGS, 2, 0.2, 0.0, 0.0), 0.19),
    OtherClientSuffers(Harm.LOST, 2, 20, 0, 40),
    FOUND,
    EVERYWHERE,
    UNCLEAR,
    SearchEnded(SearchEnd.NEVER_QUIET, 400, 1, 12.5, "the line was never quiet"),
    Pinged(37, 5, NORMAL, 10, 9),
    ListeningEnded(
        SETTINGS,
        3.0,
        Verdict.TRAFFIC,
        15,
        (Frame(0, REPLY, Role.REQUEST | Role.REPLY),),
        (
            RepeatedRequest(37, b"\x03\x00\x00\x00\x02", 3, 2, 1, 2.0, Turnaround(0.012, 0.018)),
            RepeatedRequest(38, b"\x07", 1, 0, 0, 0.0, NoTurnaround()),
        ),
        (UnaskedReplies(12, 3),),
    ),
)
STRAY = Arrival(b"\x55\xaa", (ByteMark(0, LineMark.BREAK),), 1.6, 1.61)
HEARD = Arrival(b"\x01", (), 1.9, 1.905)
TRAFFIC: tuple[object, ...] = (
    *(ExchangeDone(exchange(number, one, at_s=number / 10)) for number, one in enumerate(OUTCOMES, start=1)),
    ExchangeDone(OBSERVED),
    ExchangeDone(WRITTEN),
    StrayArrival(STRAY),
    StrayArrival(Arrival(b"", (CountedMarks(1, LineMark.OVERRUN),), 1.62, 1.63)),
    Heard(HEARD),
    LateReply(37, (3, 8), REPLY, 1.65, Credit.DOUBTFUL),
    LateReply(37, (3,), REPLY, 1.66, Credit.CREDITED),
)
MARK_ROW = len(BEFORE_THE_MARKS) + len(TRAFFIC) + 1
"""Of the first mark in EVERY_EVENT."""
SAID: tuple[object, ...] = (
    *BEFORE_THE_MARKS,
    MarkMade("tightened terminal 4 — „links“", MarkSource.USER, 2.0),
    MarkMade("fan on", MarkSource.USER, 0.5, EndsAt(1.5), 1),
    MarkEnded(MARK_ROW, 2.5, 2.01),
    MarkEdited(MARK_ROW, "tightened terminal 4 — „links“", 1.0, NO_END, 2.02),
    MarkTakenBack(MARK_ROW + 1, 2.03),
    PlanKept(DEVICES, 2.1),
    DeviceAbsent(37, SETTINGS, 3, 1.5, 2.15),
    WatchProgress(60, 4, (37, 38), 2.16),
    DeviceBack(37, SETTINGS, 0.67, 2.17),
    *EVERY_PRESENCE,
    FORECASTED,
    PointNotRead(37, SETTINGS, "alarms", WhyLeftOut.CLEARS_ON_READ, 2.1772),
    PointRefused(37, SETTINGS, "fan", 2, told_before=True, at_s=2.1773),
    PointTold(37, SETTINGS, "fan", 2.1774),
    WATCHED,
    TAKEN,
    REFUSED,
    LearningBegan(37, SETTINGS, (BLOCK,), "the manual lists no such register", LearningForecast(1, 25, 0.3, 1.4), 2.18),
    MapProgress(BLOCK, 25, 12, 40, LearningForecast(1, 10, 0.1, 0.6), 2.182),
    MapLearnt(37, SETTINGS, BLOCK, (BLOCK,), (), 4, 31, 16, 17, refuses_by_silence=True, at_s=2.184),
    TableNotServed(37, SETTINGS, Table.COILS, 2.186),
    LearningGivenUp(37, SETTINGS, BLOCK, "no answer", 2.188),
    NoChain(37, SETTINGS, (40000, 0), 2.19),
    ChainRead(37, SETTINGS, Chain(40000, 40070, (MODEL,), is_ended=True), 2.191),
    ModelRead(37, SETTINGS, MODEL, (1, 66, 7), 2.192),
    EchoTested(is_heard=True, sentence="this adapter hears itself", at_s=2.2),
    JobEnded(1, "search", JobEndKind.STOPPED, "stopped by the user", 2.3),
    PortClosed("/dev/ttyUSB0", 2.4),
)
EVERY_EVENT: tuple[object, ...] = (*SAID[:6], *TRAFFIC, *SAID[6:], *EVERY_WRITE)
"""In an order in which they can be kept."""

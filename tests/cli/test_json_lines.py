"""JSON lines keep to their documented schema: `event` first, every kind and key as the document says."""

from __future__ import annotations

import re
from dataclasses import fields
from pathlib import Path
from typing import Any, get_args

import pytest

from buswalk.bus.lasting_search import PortBack, PortGone
from buswalk.cli import command_line
from buswalk.cli.fault_events import (
    ClaimChecked,
    DeviceFaults,
    InsideMarks,
    JobsLeftOut,
    NotCleanShare,
    OtherOutcome,
)
from buswalk.cli.fault_export import FaultsExported
from buswalk.cli.find import PlannedSilent
from buswalk.cli.guarded_writing import WriteProposed
from buswalk.cli.left_changed import LeftChanged
from buswalk.cli.mark_words import NumberedMark
from buswalk.cli.parts import ListedPort
from buswalk.cli.point_events import PointRead
from buswalk.cli.profile_events import ListImported, PointListed, ProfileChecked, ProfileListed
from buswalk.cli.record import RecordChecked
from buswalk.cli.recording import Recorded
from buswalk.cli.switch_events import BoardListed, Mistake, NotPossible, Setting, SheetWritten
from buswalk.domain.event_json import snake_case
from buswalk.domain.line.arrival import Arrival, ByteMark, CountedMarks
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.sent import Sent
from buswalk.domain.line_events import ExchangeDone, LateReply, OtherClientNoticed, SettingsApplied, StrayArrival
from buswalk.domain.listening.client_cycle import CycleHeard
from buswalk.domain.listening.events import ListeningEvent
from buswalk.domain.listening.who_asks import RepeatedRequest, UnaskedReplies
from buswalk.domain.loss_timers.timed_devices import KnownTimers, TimedDevice
from buswalk.domain.loss_timers.unasked import UnaskedEvent
from buswalk.domain.modbus.custom_frame import CustomFrame, CustomReply
from buswalk.domain.modbus.exchange import Exchange, NeverSent, NoTurnaround, Turnaround
from buswalk.domain.modbus.frame_splitter import Frame
from buswalk.domain.modbus.functions.read_device_identification import IdentificationObject
from buswalk.domain.modbus.outcome import Outcome
from buswalk.domain.presence.events import AnsweredLate, CameBack, PresenceBase, PresenceRound, WentQuiet
from buswalk.domain.readdressing.events import ReaddressEvent
from buswalk.domain.readdressing.plan import Reach, RegisterValue
from buswalk.domain.record_reader import EndedInOrder, NotEnded, OutcomeCount, RecordedSession, RecordFacts
from buswalk.domain.registers.cycle_forecast import (
    CycleForecast,
    CycleRules,
    DeviceCycle,
    MeasuredCycle,
    PartOfCycle,
    ReadsAtSpeed,
    ReadSize,
)
from buswalk.domain.registers.loss_timer import IsOff, LossTimer, NoTimerDescribed, NotTold, RunsFor
from buswalk.domain.registers.map_learning.plan import LearningEvent, LearningForecast
from buswalk.domain.registers.point import AnyValue, BitField, NamedValue, Point
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.samples import Sample
from buswalk.domain.registers.sunspec.chain import Chain, LocatedModel
from buswalk.domain.registers.sunspec.events import SunSpecEvent
from buswalk.domain.registers.value_type import ValueType
from buswalk.domain.registers.what_if import TooShortFor, WhatIf, WhatIfForecast
from buswalk.domain.registers.what_would_help import Help
from buswalk.domain.registers.writing.checks import Caution
from buswalk.domain.registers.writing.events import OldNotRead, OldRead, WriteEvent
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace
from buswalk.domain.search.answer_shares import AnswerShares
from buswalk.domain.search.events import Identity, SearchEvent
from buswalk.domain.search.ping import Pinged
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.statistics.bunching import Between, Bunching
from buswalk.domain.statistics.device_quality import RefusalCount
from buswalk.domain.statistics.outages import Outage
from buswalk.domain.statistics.retries import RetryLoss
from buswalk.domain.statistics.turnarounds import Turnarounds
from buswalk.domain.visit.mark_end import EndsAt, EndsWithSession
from buswalk.domain.visit.session_events import SessionEvent
from buswalk.domain.watching.events import WatchEvent
from tests.fakes.command_in_process import ran

DOCUMENT = Path(command_line.__file__).with_name("json_lines.md")
ROW = re.compile(r"\| `(\w+)` \| [^|]* \|([^|]*)\|")
EVENTS = [
    *get_args(WriteEvent),
    *get_args(ReaddressEvent),
    WriteProposed,
    LeftChanged,
    *get_args(SearchEvent),
    *get_args(ListeningEvent),
    ExchangeDone,
    StrayArrival,
    LateReply,
    PortGone,
    PortBack,
    ListedPort,
    PlannedSilent,
    *(PresenceBase, WentQuiet, CameBack, AnsweredLate, PresenceRound),
    *get_args(SessionEvent),
    SettingsApplied,
    OtherClientNoticed,
    KnownTimers,
    *get_args(UnaskedEvent),
    Pinged,
    RecordFacts,
    OutcomeCount,
    Recorded,
    RecordChecked,
    DeviceFaults,
    InsideMarks,
    JobsLeftOut,
    ClaimChecked,
    FaultsExported,
    NumberedMark,
    *get_args(LearningEvent),
    *get_args(SunSpecEvent),
    *get_args(WatchEvent),
    PointRead,
    WhatIfForecast,
    BoardListed,
    Setting,
    NotPossible,
    Mistake,
    SheetWritten,
    *(ListImported, ProfileListed, PointListed, ProfileChecked),
]
NESTED = [
    IntendedWrite,
    KnownPlace,
    RawPlace,
    OldRead,
    OldNotRead,
    Caution,
    Reach,
    RegisterValue,
    Point,
    ValueType,
    AnyValue,
    NamedValue,
    BitField,
    CustomFrame,
    CustomReply,
    *get_args(Outcome),
    Exchange,
    Arrival,
    ByteMark,
    CountedMarks,
    Frame,
    AnswerShares,
    CycleHeard,
    RepeatedRequest,
    UnaskedReplies,
    Sent,
    NeverSent,
    Turnaround,
    NoTurnaround,
    Identity,
    *(TimedDevice, LossTimer, NoTimerDescribed, RunsFor, IsOff, NotTold),
    IdentificationObject,
    RecordedSession,
    EndedInOrder,
    NotEnded,
    PlannedDevice,
    EndsAt,
    EndsWithSession,
    LineTraits,
    Block,
    Chain,
    LocatedModel,
    AnswerShares,
    LearningForecast,
    OtherOutcome,
    Sample,
    CycleForecast,
    PartOfCycle,
    Help,
    *(MeasuredCycle, DeviceCycle, ReadSize, ReadsAtSpeed, ReadCosts, CycleRules),
    *get_args(WhatIf),
    TooShortFor,
    NotCleanShare,
    Outage,
    Bunching,
    Between,
    RetryLoss,
    RefusalCount,
    Turnarounds,
]
RUNS = [
    "write --port demo:slow-device --clock virtual --alone --address 37 --register 0 230 --reason test --confirm 230",
    "write --port demo:slow-device --clock virtual --alone --address 37 --register 0 --type int16 1 --reason test",
    "readdress --port demo:address-acts-at-once --clock virtual --alone --address 37 --to-address 42 --set 10=42 "
    "--company 1-9 --reason test --confirm 42",
    "ports",
    "ask --port demo:greenhouse --clock virtual --address 21",
    "ask --port demo:greenhouse --clock virtual --address 99 --retries 1",
    "ask --port demo:greenhouse --clock virtual --address 21 --function 2B",
    "ask --port demo:stray-byte-before-reply --clock virtual --address 37",
    "ask --port demo:adapter-unplugged --clock virtual --address 99 --timeout 30",
    "find --port demo:greenhouse --clock virtual --addresses 20-25 --planned 25",
    "find --port demo:another-client --clock virtual",
    "find --port demo:another-client --clock virtual --live-line --addresses 36-38",
    "find --port demo:adapter-unplugged --clock virtual --alone --addresses 30-40",
    "find --port demo:answers-at-every-address --clock virtual --alone --addresses 1-9",
    "listen --port demo:another-client --clock virtual --seconds 3",
    "listen --port demo:held-at-space --clock virtual --seconds 3",
    "faults --live --port demo:slow-device --clock virtual --address 37,99 --seconds 30 --accept 1%",
    "read --port demo:greenhouse --clock virtual --address 21 --profile air-transmitter",
    "read --port demo:greenhouse --clock virtual --address 21 --from 0 --quantity 9",
    "watch --port demo:greenhouse --clock virtual --address 21 --profile air-transmitter --cycles 15 --alone "
    "--if-baud 19200 --if-more 2 --if-timeout 0.3 --if-silent 21",
    "watch --port demo:greenhouse --clock virtual --address 99 --from 0 --seconds 20 --alone",
    "quiet --port demo:greenhouse --clock virtual --address 21-23,99 --seconds 5 --alone",
    "quiet --port demo:another-client --clock virtual --address 37 --seconds 5",
    "learn --port demo:greenhouse --clock virtual --address 21 --to 150 --alone --reading-is-safe demo",
    "learn --port demo:greenhouse --clock virtual --address 99 --alone --reading-is-safe demo",
    "sunspec --port demo:greenhouse --clock virtual --address 41 --alone",
    "sunspec --port demo:greenhouse --clock virtual --address 21 --alone",
    "listen --port sim:nowhere.toml",
    "find --port x --wait nan",
    "switches",
    "switches --board levers-8 --address 37",
    "switches --board dials-decimal --address 137",
    "switches --board levers-8 --intended 37 --found 164",
    "profile list",
    "profile show valve-actuator",
    "profile check nowhere.toml",
]


def documented() -> dict[str, list[list[str]]]:
    """Return the keys of each kind as the document lists them; two things may be called by the same word."""
    found: dict[str, list[list[str]]] = {}
    for kind, keys in ROW.findall(DOCUMENT.read_text(encoding="utf-8")):
        found.setdefault(kind, []).append(re.findall(r"`(\w+)`", keys))
    return found


@pytest.mark.parametrize("kind", [*EVENTS, *NESTED])
def test_each_kind_is_documented_with_its_keys_in_order(kind: Any) -> None:
    assert [one.name for one in fields(kind)] in documented()[snake_case(kind.__name__)]


def test_the_document_lists_nothing_that_is_never_said() -> None:
    kinds = {snake_case(one.__name__) for one in [*EVENTS, *NESTED]} | {"started", "failed"}

    assert set(documented()) == kinds


def nested_of(value: object) -> list[dict[str, Any]]:
    """Return every object with a kind inside a value, at any depth."""
    if isinstance(value, list):
        return [found for one in value for found in nested_of(one)]
    if isinstance(value, dict):
        own = [value] if "kind" in value else []
        return own + [found for one in value.values() for found in nested_of(one)]
    return []


@pytest.mark.parametrize("line", RUNS)
def test_every_line_of_a_run_keeps_to_the_document(line: str) -> None:
    known = documented()

    events = ran(*line.split(), "--json").events

    assert events
    for event in events:
        assert next(iter(event)) == "event"
        assert list(event)[1:] in known[event["event"]]
        for one in nested_of(event):
            assert one["kind"] not in known or list(one)[1:] in known[one["kind"]]


@pytest.mark.parametrize("line", [one for one in RUNS if "nowhere" not in one and "nan" not in one])
def test_the_first_line_says_what_runs_and_in_which_schema(line: str) -> None:
    first = ran(*line.split(), "--json").events[0]

    assert (first["event"], first["schema"]) == ("started", 1)
    assert f"{line} ".startswith(f"{first['command']} ")


def test_in_find_only_found_carries_a_server_address() -> None:
    ended = ran("find", "--port", "demo:greenhouse", "--clock", "virtual", "--addresses", "20-25", "--json")

    carrying = {str(one["event"]) for one in ended.events if "server_address" in one}
    assert carrying == {"found"}
    assert {one["server_address"] for one in ended.events if one["event"] == "found"} == {21, 22, 23, 24}


def test_a_failure_is_the_last_line_and_a_sentence_for_people() -> None:
    ended = ran("find", "--port", "x", "--wait", "nan", "--json")

    assert ended.events == [{"event": "failed", "sentence": ended.err.strip(), "exit_status": 2}]
    assert ended.status == 2


def test_a_lost_port_is_told_to_machines_too() -> None:
    line = "find --port demo:adapter-unplugged --clock virtual --alone --addresses 30-40"

    ended = ran(*line.split(), "--json")

    assert ended.kinds.index("port_gone") + 1 == ended.kinds.index("port_back")
    assert "failed" not in ended.kinds and ended.kinds[-2:] == ["search_ended", "recorded"]


def test_the_role_of_a_frame_is_a_list_of_names() -> None:
    ended = ran("listen", "--port", "demo:another-client", "--clock", "virtual", "--seconds", "1", "--json")

    assert [frame["role"] for frame in ended.events[-2]["frames"]] == [["request"], ["reply"]] * 2


def test_people_get_no_json_and_machines_no_text() -> None:
    line = "ask --port demo:greenhouse --clock virtual --address 21"

    text, lines = ran(*line.split()), ran(*line.split(), "--json")

    assert "{" not in text.out
    assert lines.kinds == ["started", "exchange_done", "recorded"]

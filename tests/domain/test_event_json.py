"""One rule turns every event into JSON: kinds are class names in snake case, bytes are hex."""

from __future__ import annotations

import json
from dataclasses import dataclass

import pytest

from buswalk.domain.event_json import event_json, snake_case
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.search.events import Doubt, Found, Identity, SearchProgress
from buswalk.jobs.asking.asker import Asker, AskTiming
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import Lump, ReplayingLine


@pytest.mark.parametrize(
    ("name", "kind"), [("NormalReply", "normal_reply"), ("NoReply", "no_reply"), ("Found", "found")]
)
def test_kinds_are_class_names_in_snake_case(name: str, kind: str) -> None:
    assert snake_case(name) == kind


def test_a_found_device_carries_its_address_and_setting() -> None:
    found = Found(
        server_address=37,
        settings=SerialSettings.of(9600, "8E1"),
        function=3,
        is_refusal=False,
        answered=2,
        confirmations=2,
        doubts=(Doubt.NEEDS_A_PAUSE,),
        identity=Identity(),
        exchange_numbers=(4, 5),
    )

    seen = json.loads(json.dumps(event_json(found)))

    assert seen["event"] == "found"
    assert (seen["server_address"], seen["settings"]) == (37, "9600 8E1")
    assert (seen["doubts"], seen["exchange_numbers"]) == (["needs_a_pause"], [4, 5])


def test_progress_carries_no_server_address() -> None:
    assert "server_address" not in event_json(SearchProgress(20, 400, SerialSettings.of(9600, "8N2"), 300.0))


def test_every_event_of_an_exchange_becomes_json() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock, (Lump(0.02, bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")),))
    line.play(0.0, b"\xff")
    sink = KeptEvents()
    Asker(line, clock, sink).ask(37, ReadHoldingRegisters(0, 2), AskTiming())

    done = json.loads(json.dumps(event_json(sink.of(ExchangeDone)[0])))
    stray = json.loads(json.dumps(event_json(sink.of(StrayArrival)[0])))

    assert done["event"] == "exchange_done"
    assert done["exchange"]["outcome"]["kind"] == "normal_reply"
    assert done["exchange"]["outcome"]["adu"] == "25 03 04 00 D7 01 C2 AE 08"
    assert done["exchange"]["request_adu"] == "25 03 00 00 00 02 C2 EF"
    assert stray["arrival"]["data"] == "FF"


@dataclass(frozen=True, slots=True)
class WithSomethingElse:
    held: object


def test_what_has_no_json_form_is_refused() -> None:
    with pytest.raises(TypeError):
        event_json(WithSomethingElse(object()))
    with pytest.raises(TypeError):
        event_json("not an event")

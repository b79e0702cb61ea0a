"""What a field engineer reads of an exchange: what came of it, what it means, what to try next."""

from __future__ import annotations

from dataclasses import replace

import pytest

from buswalk.cli.exchange_words import exchange_lines, milliseconds, observation_words
from buswalk.cli.reply_words import count_words, reply_words, text_of
from buswalk.domain.line.arrival import ByteMark, CountedMarks, LineMark
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.functions.diagnose import Diagnosed, SubFunction
from buswalk.domain.modbus.functions.get_comm_event_counter import CommEventCounter
from buswalk.domain.modbus.functions.get_comm_event_log import CommEventLog
from buswalk.domain.modbus.functions.mask_write_register import RegisterMasked
from buswalk.domain.modbus.functions.read_device_identification import (
    DeviceIdentification,
    IdentificationObject,
    ReadDeviceIdentification,
)
from buswalk.domain.modbus.functions.read_exception_status import ExceptionStatus
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_write_registers import RegistersReadAfterWriting
from buswalk.domain.modbus.functions.report_server_id import ReportServerId, ServerId
from buswalk.domain.modbus.functions.write_single_coil import SingleCoilWritten
from buswalk.domain.modbus.functions.write_single_register import SingleRegisterWritten
from buswalk.domain.modbus.observation import BytesBefore, EchoHeard, MarksSeen, PauseInside, VeryEarly
from buswalk.domain.modbus.request import Reply
from buswalk.jobs.asking.asker import Asker, AskTiming
from tests.fakes.answering_line import with_check_sum
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import Lump, ReplayingLine

GOOD = "25 03 04 00 D7 01 C2 AE 08"
"""Address 37, two registers: 215 and 450."""
OWN_REQUEST = "25 03 00 00 00 02 C2 EF"


def exchange_with(*reply: str) -> Exchange:
    """Address 37 is asked for two holding registers, and these bytes come 20 ms later."""
    clock = JumpingClock()
    line = ReplayingLine(clock, tuple(Lump(0.020, bytes.fromhex(one)) for one in reply))
    return Asker(line, clock, KeptEvents()).ask(37, ReadHoldingRegisters(0, 2), AskTiming(0.5))


@pytest.mark.parametrize(
    ("reply", "outcome", "hint"),
    [
        ([GOOD], "answered", "register 1 (0x0001) = 450 (0x01C2)"),
        (["25 83 02 80 FA"], "refused, exception 02: illegal data address", "another --register, or a smaller"),
        (["25 83 0B 40 FC"], "refused, exception 0B: gateway target failed", "the device behind the gateway"),
        ([], "no reply in 50", "find --addresses 37"),
        (["25 03 04 00 D7 01 C2 AE 09"], "damaged: 9 bytes came (9 expected)", "Two devices at one address"),
        (["25 03 04"], "cut short: 3 of 9 bytes came", "ask again"),
        (["26 03 04 00 D7 01 C2 9D 08"], "foreign: a frame from 38 came, and nothing right from 37", "listen"),
        (["25 03 02 00 D7 88 1D"], "wrong content: ", "late answer"),
        ([OWN_REQUEST], "only our own request came back", "The adapter works as far as the pair"),
        (["55 " * 1100], "damaged: 1100 bytes came (9 expected)", "somebody sends without end"),
    ],
)
def test_each_outcome_says_what_came_and_what_to_try(reply: list[str], outcome: str, hint: str) -> None:
    first, *rest = exchange_lines(exchange_with(*reply))

    assert first.startswith("1  address 37 at 9600 8N1: ") and outcome in first
    assert hint in "\n".join(rest)


def test_a_refusal_proves_that_the_device_is_there() -> None:
    lines = "\n".join(exchange_lines(exchange_with("25 83 02 80 FA")))

    assert "address, speed and framing are right" in lines


def test_every_byte_of_an_answer_is_explained() -> None:
    lines = exchange_lines(exchange_with(GOOD))

    assert [one.strip() for one in lines[7:13]] == [
        f"received  {GOOD}",
        "25                 server address 37",
        "03                 function 03, read holding registers",
        "04                 byte count 4",
        "00 D7              register 0 (0x0000) = 215 (0x00D7)",
        "01 C2              register 1 (0x0001) = 450 (0x01C2)",
    ]


def test_names_of_a_device_are_said_after_its_bytes() -> None:
    """Two objects of identification (Application V1.1b3, 6.21), CRC by another library."""
    clock = JumpingClock()
    reply = bytes.fromhex("25 2B 0E 01 81 00 00 02 00 0A 45 78 61 6D 70 6C 65 20 43 6F 01 03 54 2D 31 C6 B5")
    line = ReplayingLine(clock, (Lump(0.020, reply),))

    lines = exchange_lines(Asker(line, clock, KeptEvents()).ask(37, ReadDeviceIdentification(), AskTiming(0.5)))

    assert "             45 78 61 6D 70 6C 65 20 43 6F 'Example Co'" in lines
    assert lines[-2:] == ["   vendor name: Example Co", "   product code: T-1"]


def test_a_long_part_is_shown_in_part_and_counted() -> None:
    """The whole frame stands above it already. The content of a server ID is free (Application V1.1b3, 6.17)."""
    clock = JumpingClock()
    reply = with_check_sum(bytes.fromhex("25 11 16") + b"Example Controls P-5\xff1")
    line = ReplayingLine(clock, (Lump(0.020, reply),))

    lines = exchange_lines(Asker(line, clock, KeptEvents()).ask(37, ReportServerId(), AskTiming(0.5)))

    meaning = "server ID, run indicator and what the maker adds"
    assert f"             45 78 61 6D 70 6C 65 20 43 6F 6E 74 ...   {meaning}, 22 bytes" in lines


def test_a_flood_is_shown_in_part_and_counted() -> None:
    lines = "\n".join(exchange_lines(exchange_with("55 " * 1100)))

    assert "and 1036 more" in lines and "server address 85" not in lines
    assert max(map(len, lines.splitlines())) < 240


def test_a_line_that_never_rests_is_said_and_nothing_is_shown_as_sent() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    for number in range(3000):
        line.play(number * 0.001, b"\x55")

    lines = exchange_lines(Asker(line, clock, KeptEvents()).ask(37, ReadHoldingRegisters(0, 2), AskTiming(0.5)))

    assert "not sent: the line was not quiet within 2 s" in lines[0]
    assert lines[1:] == ["   Try next: the command listen, to see who it is and at which speed."]
    assert line.writes == []


def test_bytes_that_came_before_our_request_had_ended_have_no_turnaround() -> None:
    """A second client talks into our request: eight characters at 9600 baud take 8.3 ms."""
    exchange = replace(exchange_with(GOOD), turnaround=Turnaround(-0.012, -0.009), observations=(VeryEarly(-0.009),))

    lines = exchange_lines(exchange)

    assert "   no turnaround: it began before our request had ended" in lines
    assert "   also      it began before our request had ended: it is no answer to it" in lines
    assert not any("\N{MINUS SIGN}" in one for one in lines)


@pytest.mark.parametrize(
    ("observation", "words"),
    [
        (EchoHeard(8), "our own request came back first (8 bytes): the adapter hears itself"),
        (BytesBefore(b"\xff"), "before the frame: FF"),
        (PauseInside(3, 0.0123), "a pause of at least 12 ms after byte 3"),
        (MarksSeen((ByteMark(0, LineMark.PARITY_ERROR),)), "marked by the receiver: parity error on byte 1"),
        (
            MarksSeen((CountedMarks(2, LineMark.DAMAGED),)),
            "marked by the receiver: 2 x framing or parity error, place not known",
        ),
        (VeryEarly(0.0004), "it began at most 0.4 ms after our request: too soon to be its answer"),
        (VeryEarly(-0.009), "it began before our request had ended: it is no answer to it"),
    ],
)
def test_what_was_seen_beside_it_is_a_sentence(observation: object, words: str) -> None:
    assert observation_words(observation) == words  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("reply", "words"),
    [
        (
            DeviceIdentification(
                conformity_level=0x81,
                more_follows=True,
                next_object_id=3,
                objects=(IdentificationObject(0, b"Example Co"), IdentificationObject(1, b"T-1")),
            ),
            ("vendor name: Example Co", "product code: T-1", "more follows: ask again with --object 03"),
        ),
        (ServerId(b"T-1\xff"), ("it says of itself: T-1\\xff",)),
        (Diagnosed(SubFunction.BUS_MESSAGE_COUNT, b"\x01\x02"), ("bus message count: 258",)),
        (Diagnosed(SubFunction.RETURN_QUERY_DATA, b"\xa5\x37"), ("return query data: it sent back what was sent",)),
        (CommEventCounter(is_busy=True, event_count=1), ("1 event counted; it is still busy with an earlier command",)),
        (
            CommEventLog(is_busy=False, event_count=8, message_count=289, events=b"\x20\x00"),
            ("8 events counted, 289 frames handled", "log, latest first: 20 00"),
        ),
        (
            ExceptionStatus((True, False, True, True, False, True, True, False)),
            ("exception status, lowest bit first: 1 0 1 1 0 1 1 0",),
        ),
        (RegistersReadAfterWriting(3, (254,)), ("register 3 = 254 (0x00FE), read after writing",)),
        (SingleCoilWritten(172, is_on=True), ("it confirms: coil 172 is on",)),
        (SingleRegisterWritten(1, 3), ("it confirms: register 1 = 3; read it back before believing it",)),
        (RegisterMasked(4, 0xF2, 0x25), ("it confirms: register 4 masked, AND 00F2 OR 0025",)),
    ],
)
def test_a_right_reply_says_what_it_holds(reply: Reply, words: tuple[str, ...]) -> None:
    """Values of the worked examples of MODBUS Application V1.1b3, 6, where it has one."""
    assert reply_words(reply) == words


@pytest.mark.parametrize(
    ("count", "what", "words"),
    [(1, "address", "1 address"), (2, "address", "2 addresses"), (0, "byte", "0 bytes"), (1, "request", "1 request")],
)
def test_one_is_singular(count: int, what: str, words: str) -> None:
    assert count_words(count, what) == words


@pytest.mark.parametrize(("seconds", "words"), [(0.0004, "0.4 ms"), (0.0123, "12 ms"), (-0.002, "−2.0 ms")])
def test_times_are_in_milliseconds(seconds: float, words: str) -> None:
    assert milliseconds(seconds) == words


def test_bytes_that_are_no_text_do_not_reach_a_terminal() -> None:
    """A device could otherwise move the cursor or colour the screen."""
    assert text_of(b"A\x1b[2J\x07\xe4") == "A\\x1b[2J\\x07\\xe4"

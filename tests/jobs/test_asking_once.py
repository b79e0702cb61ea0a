"""One request, asked again only where no right answer came."""

from __future__ import annotations

from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.outcome import CorruptReply, ExceptionReply, NoReply, NormalReply
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking_once import ask_with_retries
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import Lump, ReplayingLine

READ = ReadHoldingRegisters(0, 2)
REPLY = bytes.fromhex("25 03 04 00 D7 01 C2 AE 08")
DAMAGED = bytes.fromhex("25 03 04 00 D7 01 C2 AE 09")
REFUSAL = bytes.fromhex("25 83 02 80 FA")


def outcomes(retries: int, *replies: bytes) -> list[type]:
    clock = JumpingClock()
    line = ReplayingLine(clock, *((Lump(0.02, data),) if data else () for data in replies))
    asker = Asker(line, clock, KeptEvents())
    return [type(one.outcome) for one in ask_with_retries(asker, 37, READ, AskTiming(0.1), retries)]


def test_a_right_answer_is_not_asked_for_again() -> None:
    assert outcomes(3, REPLY, REPLY) == [NormalReply]


def test_a_refusal_is_an_answer() -> None:
    assert outcomes(3, REFUSAL, REPLY) == [ExceptionReply]


def test_silence_and_damage_are_asked_again_and_all_are_told() -> None:
    assert outcomes(3, b"", DAMAGED, REPLY) == [NoReply, CorruptReply, NormalReply]


def test_it_ends_after_the_retries() -> None:
    assert outcomes(2) == [NoReply, NoReply, NoReply]

"""The write guard over all function codes, sub-functions and addresses.

The list of what only reads is that of Application V1.1b3, chapter 6, written out here on its own.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

import buswalk
from buswalk.domain.modbus.effects import effect_of
from buswalk.domain.modbus.functions.diagnose import Diagnose, SubFunction
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.modbus.functions.write_single_register import WriteSingleRegister
from buswalk.domain.modbus.request import Effect, KnownLength, Reply, ReplyLength, Request
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.asking.write_guard import (
    NO_CONSENT,
    Consents,
    DisturbConsent,
    GuardRefusal,
    WriteConsent,
    consents_on,
    require_leave,
)
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_events import KeptEvents
from tests.fakes.replaying_line import PLAIN_TRAITS, Lump, ReplayingLine

READING = {0x01, 0x02, 0x03, 0x04, 0x07, 0x0B, 0x0C, 0x11}
READING_SUB_FUNCTIONS = {0x00, 0x02, 0x0B, 0x0C, 0x0D, 0x0E, 0x0F, 0x10, 0x11, 0x12}
MAY_WRITE = Consents(write=WriteConsent("test"))
MAY_DISTURB = Consents(write=WriteConsent("test"), disturb=DisturbConsent("test"))


@dataclass(frozen=True, slots=True)
class RawRequest:
    """Any bytes at all, claiming to be harmless."""

    data: bytes

    @property
    def function_code(self) -> int:
        return 0x03

    @property
    def effect(self) -> Effect:
        return Effect.READS

    def pdu(self) -> bytes:
        return self.data

    def reply_length(self, so_far: bytes) -> ReplyLength:
        return KnownLength(5)

    def parse_reply(self, pdu: bytes) -> Reply:
        return pdu


def passes(server_address: int, request: Request, consents: Consents) -> bool:
    try:
        require_leave(server_address, request, consents)
    except GuardRefusal:
        return False
    return True


@pytest.mark.parametrize("server_address", [1, 37, 247])
def test_without_leave_only_reads_pass_whatever_a_request_claims(server_address: int) -> None:
    for function in range(1, 256):
        if function in (0x08, 0x2B):
            continue
        request = RawRequest(bytes([function, 0, 0, 0, 1]))

        assert passes(server_address, request, NO_CONSENT) is (function in READING), f"{function:02X}"


def test_without_leave_only_reading_sub_functions_of_08_pass() -> None:
    passing = {
        sub
        for sub in range(0x10000)
        if passes(37, RawRequest(b"\x08" + sub.to_bytes(2, "big") + b"\x00\x00"), NO_CONSENT)
    }

    assert passing == READING_SUB_FUNCTIONS


def test_of_function_2b_only_device_identification_passes() -> None:
    passing = {kind for kind in range(256) if passes(37, RawRequest(bytes([0x2B, kind, 1, 0])), NO_CONSENT)}

    assert passing == {0x0E}


def test_only_addresses_of_servers_pass() -> None:
    """Serial Line V1.02, 2.2: 1 to 247 are servers, 0 is broadcast, 248 to 255 are reserved."""
    passing = {address for address in range(-1, 300) if passes(address, ReadHoldingRegisters(0, 2), NO_CONSENT)}

    assert passing == set(range(1, 248))


def test_the_echo_test_is_the_one_exception() -> None:
    assert passes(255, ReadHoldingRegisters(0, 1), NO_CONSENT)
    assert not passes(254, ReadHoldingRegisters(0, 1), NO_CONSENT)
    assert not passes(255, ReadHoldingRegisters(0, 2), NO_CONSENT)
    assert not passes(255, WriteSingleRegister(0, 1), MAY_DISTURB)


def test_leave_to_write_lets_writes_to_one_server_pass() -> None:
    assert passes(37, WriteSingleRegister(10, 210), MAY_WRITE)
    assert not passes(248, WriteSingleRegister(10, 210), MAY_DISTURB)


@pytest.mark.parametrize(
    "sub_function",
    [
        SubFunction.RESTART_COMMUNICATIONS,
        SubFunction.CHANGE_ASCII_DELIMITER,
        SubFunction.FORCE_LISTEN_ONLY,
        SubFunction.CLEAR_COUNTERS,
        SubFunction.CLEAR_OVERRUN_COUNTER,
    ],
)
def test_what_silences_or_wipes_needs_a_second_leave(sub_function: SubFunction) -> None:
    request = Diagnose(sub_function, b"\x00\x00")

    assert not passes(37, request, MAY_WRITE)
    assert passes(37, request, MAY_DISTURB)


def test_a_broadcast_needs_a_second_leave_and_a_read_is_never_broadcast() -> None:
    """Serial Line V1.02, 2.1: broadcasts are writes, and nobody answers."""
    assert not passes(0, WriteSingleRegister(10, 210), MAY_WRITE)
    assert passes(0, WriteSingleRegister(10, 210), MAY_DISTURB)
    assert not passes(0, ReadHoldingRegisters(0, 1), MAY_DISTURB)


def test_a_second_leave_alone_is_no_leave_to_write() -> None:
    assert not passes(0, WriteSingleRegister(10, 210), Consents(disturb=DisturbConsent("test")))


def test_the_guard_and_the_requests_agree_on_what_reads() -> None:
    for sub_function in SubFunction:
        request = Diagnose(sub_function, b"\x00\x00")

        assert effect_of(request.pdu()) is request.effect


def test_a_refused_request_leaves_no_byte_on_the_line() -> None:
    clock = JumpingClock()
    line = ReplayingLine(clock)
    asker = Asker(line, clock, KeptEvents())

    with pytest.raises(GuardRefusal, match="on a real line single requests only read"):
        asker.ask(37, WriteSingleRegister(10, 210), AskTiming())

    assert line.writes == []


def test_with_leave_the_write_leaves_byte_for_byte() -> None:
    """Bytes of the running example: function 06, register 10, value 210."""
    clock = JumpingClock()
    frame = bytes.fromhex("25 06 00 0A 00 D2 2F 71")
    line = ReplayingLine(clock, (Lump(0.02, frame),))
    asker = Asker(line, clock, KeptEvents(), MAY_WRITE)

    asker.ask(37, WriteSingleRegister(10, 210), AskTiming())

    assert [data for _, data in line.writes] == [frame]


def test_leave_is_made_in_one_place_of_the_program() -> None:
    package = Path(buswalk.__file__).parent
    makes = re.compile(r"\b(?:Write|Disturb)Consent\(")

    places = {
        path.relative_to(package).as_posix()
        for path in package.rglob("*.py")
        if makes.search(path.read_text(encoding="utf-8"))
    }

    assert places == {"jobs/asking/write_guard.py"}


@pytest.mark.parametrize(("is_simulated", "may_write"), [(True, True), (False, False)])
def test_only_a_simulated_line_may_be_written_to(is_simulated: bool, may_write: bool) -> None:
    traits = replace(PLAIN_TRAITS, is_simulated=is_simulated)

    consents = consents_on(traits)

    assert passes(37, WriteSingleRegister(10, 210), consents) is may_write
    assert not passes(37, Diagnose(SubFunction.FORCE_LISTEN_ONLY, b"\x00\x00"), consents)

"""The one table of function codes: to add a function, write its file and add its row here."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from buswalk.domain.modbus.functions import (
    diagnose,
    get_comm_event_counter,
    get_comm_event_log,
    mask_write_register,
    read_coils,
    read_device_identification,
    read_discrete_inputs,
    read_exception_status,
    read_holding_registers,
    read_input_registers,
    read_write_registers,
    report_server_id,
    write_multiple_coils,
    write_multiple_registers,
    write_single_coil,
    write_single_register,
)
from buswalk.domain.modbus.functions.read_device_identification import ReadDeviceIdentification
from buswalk.domain.modbus.request import AtLeast, KnownLength, ReplyLength, Request


@dataclass(frozen=True, slots=True)
class FixedLength:
    """A PDU of this function always has so many bytes."""

    pdu_bytes: int


@dataclass(frozen=True, slots=True)
class CountedLength:
    """The byte at `count_at` of the PDU says how many bytes follow it."""

    count_at: int
    largest_count: int


@dataclass(frozen=True, slots=True)
class ObjectsLength:
    """The reply of 2B/0E: a header, then objects each with its own length."""


LengthRule = FixedLength | CountedLength | ObjectsLength


@dataclass(frozen=True, slots=True)
class FunctionRow:
    """What is known of one function code without knowing a request.

    Attributes:
        words: What it does, as the trade says it.
        request_length, reply_length: How long its PDUs are, for splitting bytes heard.
        parse_request: Builds the request from its PDU; raises ValueError where the standard would refuse.
    """

    function_code: int
    words: str
    request_length: LengthRule
    reply_length: LengthRule
    parse_request: Callable[[bytes], Request]


_BITS = CountedLength(count_at=1, largest_count=250)
_REGISTERS = CountedLength(count_at=1, largest_count=250)

FUNCTIONS: tuple[FunctionRow, ...] = (
    FunctionRow(0x01, "read coils", FixedLength(5), _BITS, read_coils.parse_request),
    FunctionRow(0x02, "read discrete inputs", FixedLength(5), _BITS, read_discrete_inputs.parse_request),
    FunctionRow(0x03, "read holding registers", FixedLength(5), _REGISTERS, read_holding_registers.parse_request),
    FunctionRow(0x04, "read input registers", FixedLength(5), _REGISTERS, read_input_registers.parse_request),
    FunctionRow(0x05, "write single coil", FixedLength(5), FixedLength(5), write_single_coil.parse_request),
    FunctionRow(0x06, "write single register", FixedLength(5), FixedLength(5), write_single_register.parse_request),
    FunctionRow(0x07, "read exception status", FixedLength(1), FixedLength(2), read_exception_status.parse_request),
    FunctionRow(0x08, "diagnostics", FixedLength(5), FixedLength(5), diagnose.parse_request),
    FunctionRow(
        0x0B, "communication event counter", FixedLength(1), FixedLength(5), get_comm_event_counter.parse_request
    ),
    FunctionRow(
        0x0C, "communication event log", FixedLength(1), CountedLength(1, 70), get_comm_event_log.parse_request
    ),
    FunctionRow(
        0x0F, "write multiple coils", CountedLength(5, 246), FixedLength(5), write_multiple_coils.parse_request
    ),
    FunctionRow(
        0x10, "write multiple registers", CountedLength(5, 246), FixedLength(5), write_multiple_registers.parse_request
    ),
    FunctionRow(0x11, "report server ID", FixedLength(1), CountedLength(1, 251), report_server_id.parse_request),
    FunctionRow(0x16, "mask write register", FixedLength(7), FixedLength(7), mask_write_register.parse_request),
    FunctionRow(
        0x17, "read and write registers", CountedLength(9, 242), _REGISTERS, read_write_registers.parse_request
    ),
    FunctionRow(
        0x2B, "read device identification", FixedLength(4), ObjectsLength(), read_device_identification.parse_request
    ),
)
_BY_CODE = {row.function_code: row for row in FUNCTIONS}


def function_row(function_code: int) -> FunctionRow | None:
    """Return the row of a function code, or None if it is not in the table."""
    return _BY_CODE.get(function_code)


def function_words(function_code: int) -> str:
    """Return what a function code does in words; any code has an answer."""
    row = _BY_CODE.get(function_code)
    return row.words if row is not None else "a function that this program does not know"


def pdu_length(rule: LengthRule, so_far: bytes) -> ReplyLength:
    """Return how long a PDU is by its rule, as far as its first bytes tell."""
    match rule:
        case FixedLength(pdu_bytes):
            return KnownLength(pdu_bytes)
        case CountedLength(count_at, _):
            if len(so_far) <= count_at:
                return AtLeast(count_at + 2)
            return KnownLength(count_at + 1 + so_far[count_at])
        case ObjectsLength():
            return ReadDeviceIdentification().reply_length(so_far)

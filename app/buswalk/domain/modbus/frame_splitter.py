"""Bytes heard -> whole frames with a right CRC, and what lies between. Who asked whom is not decided here.

For bytes around our own exchanges, where requests are known: late replies, which are told as soon as their last byte is
there, and what else came with an answer. Traffic of others is read by `domain/listening`, which weighs order, silence
and partners too.

Every offset is tried with the lengths that requests and replies of the known function codes can have, so that a stray
byte in front of a frame, or silence that an adapter invented, loses nothing. Arrival times are not needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Flag, auto
from typing import TypeAlias

from buswalk.domain.modbus.adu import (
    ADDRESS_AND_CRC_BYTES,
    EXCEPTION_ADU_BYTES,
    EXCEPTION_BIT,
    LARGEST_ADU_BYTES,
    SMALLEST_ADU_BYTES,
)
from buswalk.domain.modbus.crc16 import crc16
from buswalk.domain.modbus.functions.table import FUNCTIONS, LengthRule, function_row, pdu_length
from buswalk.domain.modbus.request import AtLeast, KnownLength

HIGHEST_SERVER_ADDRESS = 247


class Role(Flag):
    """What a frame can be, by its length alone; a frame may be both."""

    REQUEST = auto()
    REPLY = auto()


@dataclass(frozen=True, slots=True)
class Frame:
    """A whole frame with a right CRC; `offset` counts from the first byte ever fed."""

    offset: int
    adu: bytes
    role: Role

    @property
    def server_address(self) -> int:
        """Address byte."""
        return self.adu[0]

    @property
    def function_code(self) -> int:
        """Function code byte, exception bit included."""
        return self.adu[1]


@dataclass(frozen=True, slots=True)
class Skipped:
    """Bytes that belong to no whole frame."""

    offset: int
    data: bytes


Piece: TypeAlias = Frame | Skipped

_KNOWN_FUNCTION_BYTES = frozenset(
    [row.function_code for row in FUNCTIONS] + [row.function_code | EXCEPTION_BIT for row in FUNCTIONS]
)


class FrameSplitter:
    """Takes bytes as they come and gives each of them back once, in a frame or as skipped."""

    def __init__(self) -> None:
        self._waiting = bytearray()
        self._offset = 0

    def feed(self, data: bytes) -> tuple[Piece, ...]:
        """Take more bytes; return the pieces that are sure now, in order."""
        self._waiting += data
        return self._take(is_last=False)

    def finish(self) -> tuple[Piece, ...]:
        """Return what is left: after a silence nothing can complete a frame any more."""
        return self._take(is_last=True)

    def _take(self, *, is_last: bool) -> tuple[Piece, ...]:
        data = bytes(self._waiting)
        pieces: list[Piece] = []
        skipped_from = at = 0
        while at < len(data):
            candidate = _frame_at(data, at)
            if isinstance(candidate, Frame):
                self._flush(pieces, data, skipped_from, at)
                pieces.append(Frame(self._offset + at, candidate.adu, candidate.role))
                at += len(candidate.adu)
                skipped_from = at
            elif candidate is _OPEN and not is_last:
                break
            else:
                at += 1
        self._flush(pieces, data, skipped_from, at)
        self._offset += at
        del self._waiting[:at]
        return tuple(pieces)

    def _flush(self, pieces: list[Piece], data: bytes, begin: int, end: int) -> None:
        if end > begin:
            pieces.append(Skipped(self._offset + begin, data[begin:end]))


class _Verdict:
    """Stands for "more bytes could make a frame here" or "none can"."""


_OPEN = _Verdict()
_NONE = _Verdict()


def split(data: bytes) -> tuple[Piece, ...]:
    """Return the pieces of a whole run of bytes."""
    splitter = FrameSplitter()
    pieces: list[Piece] = []
    for piece in splitter.feed(data) + splitter.finish():
        last = pieces[-1] if pieces else None
        if isinstance(piece, Skipped) and isinstance(last, Skipped):
            pieces[-1] = Skipped(last.offset, last.data + piece.data)
        else:
            pieces.append(piece)
    return tuple(pieces)


def _frame_at(data: bytes, at: int) -> Frame | _Verdict:
    if data[at] > HIGHEST_SERVER_ADDRESS:
        return _NONE
    if at + 1 >= len(data):
        return _OPEN
    function = data[at + 1]
    if function not in _KNOWN_FUNCTION_BYTES:
        return _NONE
    if function & EXCEPTION_BIT:
        return _whole(data, at, EXCEPTION_ADU_BYTES, Role.REPLY)
    row = function_row(function)
    assert row is not None
    as_request = _by_rule(data, at, row.request_length, Role.REQUEST)
    as_reply = _by_rule(data, at, row.reply_length, Role.REPLY)
    return _better(as_request, as_reply)


def _by_rule(data: bytes, at: int, rule: LengthRule, role: Role) -> Frame | _Verdict:
    match pdu_length(rule, data[at + 1 : at + LARGEST_ADU_BYTES]):
        case KnownLength(pdu_bytes):
            return _whole(data, at, pdu_bytes + ADDRESS_AND_CRC_BYTES, role)
        case AtLeast(pdu_bytes) if pdu_bytes + ADDRESS_AND_CRC_BYTES <= LARGEST_ADU_BYTES:
            return _OPEN
        case _:
            return _NONE


def _whole(data: bytes, at: int, adu_bytes: int, role: Role) -> Frame | _Verdict:
    if not SMALLEST_ADU_BYTES <= adu_bytes <= LARGEST_ADU_BYTES:
        return _NONE
    adu = data[at : at + adu_bytes]
    if len(adu) < adu_bytes:
        return _OPEN
    return Frame(at, adu, role) if crc16(adu) == 0 else _NONE


def _better(one: Frame | _Verdict, other: Frame | _Verdict) -> Frame | _Verdict:
    """Return the whole frame if there is one: both roles where they agree, else the longer, else the open one."""
    match one, other:
        case Frame(offset, adu), Frame(adu=second) if len(adu) == len(second):
            return Frame(offset, adu, Role.REQUEST | Role.REPLY)
        case Frame(adu=adu), Frame(adu=second):
            return one if len(adu) > len(second) else other
        case Frame(), _:
            return one
        case _, Frame():
            return other
        case _:
            return _OPEN if _OPEN in (one, other) else _NONE

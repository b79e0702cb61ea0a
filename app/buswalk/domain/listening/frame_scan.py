"""Every frame with a right CRC at every offset of a run of bytes; which of them are true is decided elsewhere.

Lengths are computed for all offsets at once, CRCs compared for all of them at once, and only what is left is looked at
for legality. Nothing here knows of time.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.listening.grammar import EXCEPTION, HIGHEST_SERVER_ADDRESS, LEGALITIES
from buswalk.domain.listening.legality import HEAD_BYTES, all_hold
from buswalk.domain.listening.running_crc import REACH, Bytes8, Flags, Offsets, RunningCrc
from buswalk.domain.modbus.adu import (
    ADDRESS_AND_CRC_BYTES,
    EXCEPTION_ADU_BYTES,
    EXCEPTION_BIT,
    LARGEST_ADU_BYTES,
    SMALLEST_ADU_BYTES,
)
from buswalk.domain.modbus.functions.table import (
    FUNCTIONS,
    CountedLength,
    FixedLength,
    LengthRule,
    ObjectsLength,
    pdu_length,
)
from buswalk.domain.modbus.request import AtLeast, KnownLength

ASKS = 1
ANSWERS = 2
EITHER = ASKS | ANSWERS
_CHUNK_BYTES = 1 << 16
_PADDING = np.zeros(REACH + HEAD_BYTES, dtype=np.uint8)
_STILL_OPEN = 1 << 14
"""Stands for a length that more bytes must tell: beyond any end."""
_NO_FRAME = 0


@dataclass(frozen=True, slots=True)
class Candidates:
    """Frames with a right CRC, by where they begin, then by where they end; they may overlap.

    Attributes:
        roles: ASKS, ANSWERS or both, by length and legality alone.
        legal: Whether the frame is believed alone.
        open_heads: Offsets at which more bytes could make a frame.
    """

    begins: Offsets
    ends: Offsets
    roles: NDArray[np.uint8]
    legal: Flags
    open_heads: Offsets

    def kept(self, which: Flags | Offsets) -> Candidates:
        """Return those."""
        return Candidates(self.begins[which], self.ends[which], self.roles[which], self.legal[which], self.open_heads)


def scan(data: Bytes8) -> Candidates:
    """Return the candidates of all offsets."""
    padded = np.concatenate((data, _PADDING))
    found = [
        _scan_chunk(padded, at, min(at + _CHUNK_BYTES, len(data)), len(data))
        for at in range(0, max(1, len(data)), _CHUNK_BYTES)
    ]
    if len(found) == 1:
        return found[0]
    return Candidates(
        np.concatenate([one.begins for one in found]),
        np.concatenate([one.ends for one in found]),
        np.concatenate([one.roles for one in found]),
        np.concatenate([one.legal for one in found]),
        np.concatenate([one.open_heads for one in found]),
    )


@dataclass(frozen=True, slots=True)
class _Lengths:
    """Of one role, by row: an ADU has `fixed` bytes, and as many as the byte at `count_at` says if that is not 0."""

    fixed: NDArray[np.intp]
    count_at: NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class _Grammar:
    """Row 0 is no function, then one a function code, and the last all exceptions."""

    row_of: NDArray[np.uint8]
    asks: _Lengths
    answers: _Lengths
    objects_row: int


@cache
def _grammar() -> _Grammar:
    row_of = np.zeros(256, dtype=np.uint8)
    exceptions_row = len(FUNCTIONS) + 1
    for row, one in enumerate(FUNCTIONS, start=1):
        row_of[one.function_code] = row
        row_of[one.function_code | EXCEPTION_BIT] = exceptions_row
    return _Grammar(
        row_of,
        _lengths([one.request_length for one in FUNCTIONS], of_exceptions=_NO_FRAME),
        _lengths([one.reply_length for one in FUNCTIONS], of_exceptions=EXCEPTION_ADU_BYTES),
        next(row for row, one in enumerate(FUNCTIONS, start=1) if isinstance(one.reply_length, ObjectsLength)),
    )


def _lengths(rules: list[LengthRule], *, of_exceptions: int) -> _Lengths:
    fixed, count_at = [_NO_FRAME], [0]
    for rule in rules:
        match rule:
            case FixedLength(pdu_bytes):
                fixed.append(pdu_bytes + ADDRESS_AND_CRC_BYTES)
                count_at.append(0)
            case CountedLength(at, _):
                fixed.append(at + 1 + ADDRESS_AND_CRC_BYTES)
                count_at.append(at + 1)
            case ObjectsLength():
                fixed.append(_NO_FRAME)
                count_at.append(0)
    return _Lengths(np.array([*fixed, of_exceptions], dtype=np.intp), np.array([*count_at, 0], dtype=np.intp))


def _scan_chunk(padded: Bytes8, begin: int, end: int, known: int) -> Candidates:
    """Return what begins in [begin, end); bytes from `known` on are padding."""
    reach = min(end + REACH, known)
    grammar = _grammar()
    rows_at = grammar.row_of[padded[begin + 1 : end + 1]]
    heads = np.flatnonzero((rows_at != 0) & (padded[begin:end] <= HIGHEST_SERVER_ADDRESS))
    rows = rows_at[heads]
    heads += begin
    asks = _ends(padded, heads, rows, grammar.asks)
    answers = _ends(padded, heads, rows, grammar.answers)
    _set_ends_of_objects(padded[:known], heads, rows == grammar.objects_row, answers)
    open_heads = _open_heads(heads, asks, answers, known)
    if end == known > begin and padded[known - 1] <= HIGHEST_SERVER_ADDRESS:
        open_heads = np.append(open_heads, known - 1)
    crc = RunningCrc(padded[begin:reach])
    asking = _right(crc, heads - begin, asks - begin, reach - begin)
    answering = _right(crc, heads - begin, answers - begin, reach - begin)
    return _joined(padded, (heads, rows), (asks, asking), (answers, answering), open_heads)


def _ends(padded: Bytes8, heads: Offsets, rows: NDArray[np.uint8], lengths: _Lengths) -> Offsets:
    """Return where a frame at each head ends in this role; at its own begin where it can have no such frame."""
    count_at = lengths.count_at[rows]
    counted = np.where(count_at > 0, padded[heads + count_at], 0)
    length = lengths.fixed[rows] + counted
    length[length > LARGEST_ADU_BYTES] = _NO_FRAME
    ends: Offsets = heads + length
    return ends


def _set_ends_of_objects(data: Bytes8, heads: Offsets, of_objects: Flags, ends: Offsets) -> None:
    """Walk through the objects of a reply of 2B/0E one by one: there are few."""
    (rule,) = [one.reply_length for one in FUNCTIONS if isinstance(one.reply_length, ObjectsLength)]
    for at in np.flatnonzero(of_objects):
        head = int(heads[at])
        pdu = data[head + 1 : head + LARGEST_ADU_BYTES].tobytes()
        if len(pdu) > 1 and pdu[1] != 0x0E:
            continue
        match pdu_length(rule, pdu):
            case KnownLength(pdu_bytes) if pdu_bytes + ADDRESS_AND_CRC_BYTES <= LARGEST_ADU_BYTES:
                ends[at] = head + pdu_bytes + ADDRESS_AND_CRC_BYTES
            case AtLeast(pdu_bytes) if pdu_bytes + ADDRESS_AND_CRC_BYTES <= LARGEST_ADU_BYTES:
                ends[at] = head + _STILL_OPEN


def _open_heads(heads: Offsets, asks: Offsets, answers: Offsets, known: int) -> Offsets:
    """Return the heads whose frame, in either role, may end beyond what is known.

    A count that is not there yet is padding, 0: such a frame has its `fixed` length at least, which ends beyond too.
    """
    return heads[(asks > known) | (answers > known)]


def _right(crc: RunningCrc, begins: Offsets, ends: Offsets, known: int) -> Flags:
    whole: Flags = (ends - begins >= SMALLEST_ADU_BYTES) & (ends <= known)
    whole[whole] = crc.is_right(begins[whole], ends[whole])
    return whole


def _joined(
    padded: Bytes8,
    heads_and_rows: tuple[Offsets, NDArray[np.uint8]],
    asks: tuple[Offsets, Flags],
    answers: tuple[Offsets, Flags],
    open_heads: Offsets,
) -> Candidates:
    """Return the frames of both roles; one that is right in both and of one length is one frame."""
    heads, rows = heads_and_rows
    asking, answering = np.flatnonzero(asks[1]), np.flatnonzero(answers[1])
    legal_asks = _legal(padded, heads[asking], rows[asking], ASKS)
    legal_answers = _legal(padded, heads[answering], rows[answering], ANSWERS)
    keys = np.concatenate((_key(heads[asking], asks[0][asking]), _key(heads[answering], answers[0][answering])))
    legal = np.concatenate((legal_asks, legal_answers))
    roles = np.concatenate((np.full(len(asking), ASKS, np.uint8), np.full(len(answering), ANSWERS, np.uint8)))
    order = np.lexsort((roles, keys))
    keys, legal, roles = keys[order], legal[order], roles[order]
    is_twin = np.zeros(len(keys), dtype=np.bool_)
    is_twin[1:] = keys[1:] == keys[:-1]
    second = np.flatnonzero(is_twin)
    first = second - 1
    roles[first] = np.where(legal[first] == legal[second], EITHER, np.where(legal[first], ASKS, ANSWERS))
    legal[first] |= legal[second]
    once = ~is_twin
    begins = (keys // _STILL_OPEN)[once]
    return Candidates(begins, begins + (keys % _STILL_OPEN)[once], roles[once], legal[once], open_heads)


def _key(begins: Offsets, ends: Offsets) -> Offsets:
    """Return one number that sorts by begin, then by length."""
    key: Offsets = begins * _STILL_OPEN + (ends - begins)
    return key


def _legal(padded: Bytes8, begins: Offsets, rows: NDArray[np.uint8], role: int) -> Flags:
    heads = padded[begins[:, None] + np.arange(HEAD_BYTES)]
    legal: Flags = np.zeros(len(begins), dtype=np.bool_)
    for row in np.unique(rows):
        which = rows == row
        if row > len(LEGALITIES):
            checks = EXCEPTION
        else:
            checks = LEGALITIES[row - 1].request if role == ASKS else LEGALITIES[row - 1].reply
        legal[which] = all_hold(checks, heads[which])
    return legal

"""What came back, as one row: each byte in its box, where the damage is, what is missing."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.domain.line.arrival import ByteMark, LineMark
from buswalk.domain.modbus.crc16 import crc16, has_right_crc
from buswalk.domain.modbus.exception_code import exception_meaning
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.mended_reply import MendedReply, Mending, expected_head
from buswalk.domain.modbus.observation import EchoHeard, ForeignFrame, MarksSeen
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    DamagedEcho,
    ExceptionReply,
    ForeignReply,
    NormalReply,
    ShortReply,
    UnexpectedReply,
)
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.faults.brace_words import crc_brace, moved, reply_braces, request_braces
from buswalk.ui.pages.faults.exchange_state import BesideWords, BoxLook, Brace, ByteBox, FrameRow
from buswalk.ui.pages.find.exchange_words import (
    came_back_words,
    reply_bytes,
)
from buswalk.ui.tones import Tone, tone_of
from buswalk.ui.wording import hex_bytes, plural, stamp_ms

MOST_BOXES = 80
"""A sender without end is not drawn to its end; Ctrl+Shift+C copies every byte."""
NOT_PLACED = "which byte is wrong cannot be told"
MOST_MARKS = 2
"""So many marks of the receiver stand beside the bytes; more are a note."""
_BYTE_MARKS = {
    LineMark.FRAMING_ERROR: "has no stop bit",
    LineMark.PARITY_ERROR: "has the wrong parity",
    LineMark.DAMAGED: "fails in framing or parity",
    LineMark.BREAK: "is a break",
    LineMark.OVERRUN: "follows lost ones (overrun)",
}


@dataclass(frozen=True, slots=True)
class CameBytes:
    """All bytes that came, echo taken off, and where in them the deciding frame stands."""

    data: bytes
    frame_at: int
    frame: bytes
    echo_bytes: int
    foreign: tuple[tuple[int, int], ...]
    marks: tuple[ByteMark, ...]

    @classmethod
    def of(cls, exchange: Exchange) -> CameBytes:
        """Return those of an exchange."""
        echo = next((one.byte_count for one in exchange.observations if isinstance(one, EchoHeard)), 0)
        data = exchange.received[echo:]
        frame = reply_bytes(exchange)
        at = data.find(frame) if frame else -1
        foreign = [
            (place, len(one.adu))
            for one in exchange.observations
            if isinstance(one, ForeignFrame) and (place := data.find(one.adu)) >= 0
        ]
        marks = [
            replace(mark, offset=mark.offset - echo)
            for one in exchange.observations
            if isinstance(one, MarksSeen)
            for mark in one.marks
            if isinstance(mark, ByteMark) and mark.offset >= echo
        ]
        return cls(data, max(at, 0), frame if at >= 0 else b"", echo, tuple(foreign), tuple(marks))

    @property
    def has_stray(self) -> bool:
        """Whether any of them belong to no frame."""
        inside = set(range(self.frame_at, self.frame_at + len(self.frame)))
        for place, count in self.foreign:
            inside |= set(range(place, place + count))
        return bool(self.frame) and any(at not in inside for at in range(len(self.data)))


def came_rows(
    exchange: Exchange, kind: OutcomeKind, came: CameBytes, mended: tuple[MendedReply, ...], wall_time: str
) -> list[FrameRow]:
    """Return one row; without boxes where nothing came."""
    tone = tone_of(kind)
    code = exchange.outcome.exception_code if isinstance(exchange.outcome, ExceptionReply) else 0
    row = FrameRow("Came back", _came_at(exchange, wall_time), tone=tone, kind=kind, exception_code=code)
    if not came.data:
        words = f"{came_back_words(exchange)}{_due_words(exchange)}"
        return [replace(row, under="nothing", beside=(BesideWords(words, tone),))]
    looks = _looks(exchange, came, mended)
    boxes = tuple(ByteBox(f"{one:02X}", look) for one, look in zip(came.data, looks, strict=True))
    missing = _missing_bytes(exchange, mended)
    boxes = (*boxes[:MOST_BOXES], *(ByteBox("··", BoxLook.MISSING) for _ in range(missing)))
    braces = (*_came_braces(exchange, came, mended, looks), *_missing_brace(came, missing))
    braces = tuple(one for one in braces if one.first + one.count <= len(boxes))
    return [replace(row, boxes=boxes, braces=braces, beside=_came_words(exchange, came, mended, tone))]


def _came_at(exchange: Exchange, wall_time: str) -> str:
    if not exchange.arrivals:
        return ""
    first = exchange.arrivals[0]
    low, high = stamp_ms(wall_time, first.not_before_s), stamp_ms(wall_time, first.not_after_s)
    return (
        high if low == high else f"{low} to .{high.rpartition('.')[2]}" if low[:8] == high[:8] else f"{low} to {high}"
    )


def _due_words(exchange: Exchange) -> str:
    """Return what ought to have come: nobody answers a broadcast, or a wrong check sum (Serial Line V1.02, 2.5.1.2)."""
    if isinstance(exchange.outcome, BroadcastSent):
        return ""
    if crc16(exchange.request_adu) != 0:
        return "; none is due: the CRC that was sent is wrong"
    return f"; expected: {_expected_words(exchange)}"


def _expected_words(exchange: Exchange) -> str:
    head = expected_head(exchange.server_address, exchange.request)
    return f"a frame that begins with {hex_bytes(head)}"


def _missing_bytes(exchange: Exchange, mended: tuple[MendedReply, ...]) -> int:
    """Return how many bytes are missing at the end; a head that is lost is drawn in the mended row."""
    match exchange.outcome:
        case ShortReply(received, expected) if not any(one.mending is Mending.HEAD for one in mended):
            return max(0, expected - len(received))
        case _:
            return 0


def _missing_brace(came: CameBytes, missing: int) -> tuple[Brace, ...]:
    if not missing:
        return ()
    told = f"{plural(missing, 'byte')} did not come"
    words = told if missing > 3 else f"{missing} lost"
    return (Brace(min(len(came.data), MOST_BOXES), missing, words, told, Tone.FAULT),)


def _looks(exchange: Exchange, came: CameBytes, mended: tuple[MendedReply, ...]) -> tuple[BoxLook, ...]:
    looks = [BoxLook.STRAY] * len(came.data)
    for at in range(came.frame_at, came.frame_at + len(came.frame)):
        looks[at] = BoxLook.PLAIN
    for place, count in came.foreign:
        looks[place : place + count] = [BoxLook.FOREIGN] * count
    if isinstance(exchange.outcome, ForeignReply):
        looks[came.frame_at : came.frame_at + len(came.frame)] = [BoxLook.FOREIGN] * len(came.frame)
    for at in _damaged(exchange, came, mended):
        looks[at] = BoxLook.DAMAGED
    return tuple(looks)


def _damaged(exchange: Exchange, came: CameBytes, mended: tuple[MendedReply, ...]) -> set[int]:
    """Return where the damage is: by the one frame that fits, else where the receiver or the request says so."""
    if isinstance(exchange.outcome, DamagedEcho):
        sent = exchange.request_adu
        return {at for at, byte in enumerate(came.data) if sent[at : at + 1] != bytes([byte])}
    if not isinstance(exchange.outcome, CorruptReply | ShortReply):
        return set()
    if len(mended) == 1:
        return {came.frame_at + one for one in mended[0].damaged}
    marked = {one.offset for one in came.marks if one.offset < len(came.data)}
    head = expected_head(exchange.server_address, exchange.request)
    unlike = {
        came.frame_at + at for at, right in enumerate(head) if came.frame[at : at + 1] not in (b"", bytes([right]))
    }
    return marked | unlike


def _came_braces(
    exchange: Exchange, came: CameBytes, mended: tuple[MendedReply, ...], looks: tuple[BoxLook, ...]
) -> list[Brace]:
    outside = _outside_braces(came, looks)
    if isinstance(exchange.outcome, DamagedEcho):
        return _echo_braces(exchange, looks)
    if not isinstance(exchange.outcome, CorruptReply | ShortReply):
        return [*outside, *(moved(one, came.frame_at) for one in reply_braces(exchange.request, came.frame))]
    if len(mended) == 1:
        return [*outside, *_braces_by(exchange, came, mended[0])]
    return [*outside, *_braces_as_it_stands(exchange, came, looks)]


def _echo_braces(exchange: Exchange, looks: tuple[BoxLook, ...]) -> list[Brace]:
    """Return the meanings of our own bytes that came back as they were sent."""
    kept = [
        one
        for one in request_braces(exchange.request_adu)
        if all(look is BoxLook.PLAIN for look in looks[one.first : one.first + one.count])
        and one.first + one.count <= len(looks)
    ]
    torn = _stretches(looks, BoxLook.DAMAGED)
    return kept + [
        Brace(first, count, "damaged" if count > 1 else "wrong", "not as it was sent", Tone.FAULT)
        for first, count in torn
    ]


def _outside_braces(came: CameBytes, looks: tuple[BoxLook, ...]) -> list[Brace]:
    braces = []
    for look, words, tone in (
        (BoxLook.STRAY, "stray", Tone.DOUBT),
        (BoxLook.FOREIGN, "foreign frame", Tone.FOREIGN),
    ):
        for first, count in _stretches(looks, look):
            if look is BoxLook.FOREIGN and first == came.frame_at and came.frame:
                continue
            told = "bytes of no frame" if look is BoxLook.STRAY else f"a whole frame of address {came.data[first]}"
            braces.append(Brace(first, count, words, told, tone))
    return braces


def _stretches(looks: tuple[BoxLook, ...], wanted: BoxLook) -> list[tuple[int, int]]:
    found: list[tuple[int, int]] = []
    for at, look in enumerate(looks):
        if look is not wanted:
            continue
        if found and sum(found[-1]) == at:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        else:
            found.append((at, 1))
    return found


def _braces_by(exchange: Exchange, came: CameBytes, mended: MendedReply) -> list[Brace]:
    """Return the meanings that the mended frame gives to the bytes that did come, and where the damage is."""
    by = came.frame_at + len(came.frame) - len(mended.adu)
    if mended.mending is Mending.TAIL:
        by = came.frame_at
    put_back = set(mended.put_back)
    kept = [
        moved(one, by)
        for one in reply_braces(exchange.request, mended.adu)
        if not put_back & set(range(one.first, one.first + one.count)) and one.first + by >= came.frame_at
    ]
    words = {Mending.HEAD: "damaged head", Mending.TAIL: "damaged tail", Mending.ONE_BIT: "one bit wrong"}
    short = {Mending.HEAD: "head", Mending.TAIL: "tail", Mending.ONE_BIT: "1 bit"}
    if mended.damaged:
        first = came.frame_at + mended.damaged[0]
        count = mended.damaged[-1] - mended.damaged[0] + 1
        told = words[mended.mending]
        kept.append(Brace(first, count, told if count > 1 else short[mended.mending], told, Tone.FAULT))
    return kept


def _braces_as_it_stands(exchange: Exchange, came: CameBytes, looks: tuple[BoxLook, ...]) -> list[Brace]:
    """Return only what may be said where it is not known which byte is wrong: the head that is right, and the CRC."""
    braces = []
    head = expected_head(exchange.server_address, exchange.request)
    for one in reply_braces(exchange.request, head + bytes(len(came.frame) + 2)):
        is_right = one.first < len(head) and came.frame[one.first : one.first + 1] == head[one.first : one.first + 1]
        if is_right and looks[came.frame_at + one.first] is BoxLook.PLAIN:
            braces.append(moved(one, came.frame_at))
    if isinstance(exchange.outcome, CorruptReply) and len(came.frame) >= 4 and not has_right_crc(came.frame):
        brace = crc_brace(came.frame, came.frame_at + len(came.frame) - 2)
        if all(looks[at] is BoxLook.PLAIN for at in (brace.first, brace.first + 1)):
            braces.append(brace)
    braces += [
        Brace(first, count, "damaged" if count > 1 else "wrong", "damaged", Tone.FAULT)
        for first, count in _stretches(looks, BoxLook.DAMAGED)
    ]
    return braces


def _came_words(
    exchange: Exchange, came: CameBytes, mended: tuple[MendedReply, ...], tone: Tone
) -> tuple[BesideWords, ...]:
    words: list[BesideWords] = []
    match exchange.outcome:
        case CorruptReply(received, expected):
            count = "" if len(received) == expected else f"; {len(received)} bytes in place of {expected}"
            words.append(BesideWords(f"CRC does not fit{count}", tone))
            if not mended:
                is_placed = bool(_damaged(exchange, came, mended))
                told = "no lost head and no single bit explains it" if is_placed else NOT_PLACED
                words.append(BesideWords(told, tone))
        case ShortReply(received, expected):
            words.append(BesideWords(f"{len(received)} of {plural(expected, 'byte')} came", tone))
            if not mended:
                words.append(BesideWords("what is missing cannot be told", tone))
        case ExceptionReply(exception_code=code):
            words.append(BesideWords(f"{exception_meaning(code).name}: the link works", tone))
        case UnexpectedReply(sentence=sentence):
            words.append(BesideWords(sentence, tone))
        case ForeignReply(server_address=other):
            words.append(BesideWords(f"a frame of address {other} in place of ours", tone))
        case NormalReply() if came.has_stray:
            words.append(BesideWords("the frame is good; stray bytes came beside it", tone))
        case _:
            words.append(BesideWords(came_back_words(exchange), tone))
    words += [
        BesideWords(f"byte {one.offset + 1} {_BYTE_MARKS[one.mark]}", Tone.FAULT) for one in came.marks[:MOST_MARKS]
    ]
    return tuple(words)


def boxes_of(data: bytes, look: BoxLook = BoxLook.PLAIN) -> tuple[ByteBox, ...]:
    """Return bytes in boxes of one look."""
    return tuple(ByteBox(f"{one:02X}", look) for one in data[:MOST_BOXES])

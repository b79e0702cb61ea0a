"""Makes the annotated picture of one exchange: which byte means what, and what a mended reply reads."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.line.arrival import ByteMark
from buswalk.domain.line_events import Credit
from buswalk.domain.modbus.exchange import Exchange, NeverSent, Turnaround
from buswalk.domain.modbus.mended_reply import MendedReply, Mending, mended_replies
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore, ForeignFrame, MarksSeen
from buswalk.domain.modbus.outcome import (
    CorruptReply,
    ShortReply,
)
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.reduction import credited_late
from buswalk.ui.outcome_kinds import OutcomeKind, kind_of
from buswalk.ui.pages.faults.brace_words import reply_braces, request_braces
from buswalk.ui.pages.faults.came_back import MOST_BOXES, MOST_MARKS, CameBytes, boxes_of, came_rows
from buswalk.ui.pages.faults.exchange_state import BesideWords, BoxLook, Brace, ByteBox, ExchangeState, FrameRow
from buswalk.ui.pages.find.exchange_words import (
    asked_words,
    came_back_words,
    observation_words,
    turnaround_range_words,
)
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted, hex_bytes, milliseconds, plural, stamp_ms

EVIDENCE = "evidence, not counted as read"


def exchange_state(recorded: RecordedExchange, total: int, wall_time: str) -> ExchangeState:
    """Return the picture; `wall_time` is that of the start of its session, `total` the exchanges of the record."""
    exchange = recorded.exchange
    kind = shown_kind(recorded)
    of_total = f" of {counted(total)}" if total >= exchange.number else ""
    rows = [_asked_row(exchange, wall_time)]
    came = CameBytes.of(exchange)
    mended = _mended(exchange)
    rows += came_rows(exchange, kind, came, mended, wall_time)
    rows += _mended_rows(exchange, mended)
    rows += _late_rows(recorded, wall_time)
    return ExchangeState(
        exchange.number,
        f"Exchange {counted(exchange.number)}{of_total}: {exchange.server_address}, {kind.word}",
        tuple(rows),
        _notes(recorded, mended),
        copied_text(exchange),
    )


def shown_kind(recorded: RecordedExchange) -> OutcomeKind:
    """Return how the exchange is told: a clean answer with stray bytes is told by these, a late one as late."""
    kind = kind_of(recorded.exchange.outcome, is_expected=True)
    if credited_late(recorded.exchange.number, recorded.late) is not None:
        return OutcomeKind.LATE_REPLY
    if kind in (OutcomeKind.ANSWERED, OutcomeKind.REFUSED) and CameBytes.of(recorded.exchange).has_stray:
        return OutcomeKind.STRAY_BYTE
    return kind


def copied_text(exchange: Exchange) -> str:
    """Return sent and received bytes, a line each."""
    return f"{hex_bytes(exchange.request_adu)}\n{hex_bytes(exchange.received)}"


def _asked_row(exchange: Exchange, wall_time: str) -> FrameRow:
    adu = exchange.request_adu
    if isinstance(exchange.sent, NeverSent):
        words = BesideWords(f"given up at {stamp_ms(wall_time, exchange.sent.at_s)}: {came_back_words(exchange)}")
        return FrameRow("Asked", "not sent", boxes_of(adu, BoxLook.MISSING), request_braces(adu), (words,))
    sent = exchange.sent
    took_s = sent.end_not_before_s - sent.begin_s
    then = _wait_words(exchange)
    beside = [BesideWords(f"{plural(len(adu), 'byte')}, {milliseconds(took_s)}{then}")]
    beside.append(BesideWords(f"{exchange.settings}, {asked_words(exchange)}"))
    return FrameRow(
        "Asked",
        stamp_ms(wall_time, sent.begin_s),
        boxes_of(adu),
        request_braces(adu),
        tuple(beside),
        is_request=True,
    )


def _wait_words(exchange: Exchange) -> str:
    """Return how long the reply was waited for; bytes that came before our request had ended answer something else."""
    if isinstance(exchange.turnaround, Turnaround) and exchange.turnaround.is_before_request_ended:
        return ", bytes came before it had ended"
    turnaround = turnaround_range_words(exchange)
    return f", then {turnaround} wait" if turnaround else ""


def _mended(exchange: Exchange) -> tuple[MendedReply, ...]:
    match exchange.outcome:
        case CorruptReply(received=received) | ShortReply(received=received):
            return mended_replies(exchange.server_address, exchange.request, received)
        case _:
            return ()


def _mended_rows(exchange: Exchange, mended: tuple[MendedReply, ...]) -> list[FrameRow]:
    if not mended:
        return []
    one = mended[0]
    boxes = tuple(
        ByteBox(f"{byte:02X}", BoxLook.PUT_BACK if at in one.put_back else BoxLook.PLAIN)
        for at, byte in enumerate(one.adu[:MOST_BOXES])
    )
    braces = tuple(
        one for one in _fitting(reply_braces(exchange.request, one.adu)) if one.first + one.count <= len(boxes)
    )
    under = {Mending.HEAD: "head put back", Mending.TAIL: "tail put back", Mending.ONE_BIT: "one bit turned"}
    beside = [BesideWords(EVIDENCE)]
    if len(mended) > 1:
        beside.append(BesideWords(f"{len(mended)} mended frames fit: which one is right cannot be told", Tone.DOUBT))
    elif not one.is_borne_out:
        beside.append(BesideWords("no CRC came: nothing proves the bytes before it", Tone.DOUBT))
    return [FrameRow("If mended", under[one.mending], boxes, braces, tuple(beside), Tone.INK)]


def _fitting(braces: tuple[Brace, ...]) -> list[Brace]:
    return [replace(one, words="CRC fits") if one.words == "CRC" else one for one in braces]


def _late_rows(recorded: RecordedExchange, wall_time: str) -> list[FrameRow]:
    rows = []
    for late in recorded.late:
        is_credited = late.credit is Credit.CREDITED
        words = "answers this request, after its wait" if is_credited else "may answer this request, or another one"
        rows.append(
            FrameRow(
                "Came late",
                stamp_ms(wall_time, late.at_s),
                boxes_of(late.adu),
                reply_braces(recorded.exchange.request, late.adu[:MOST_BOXES]),
                (BesideWords(words, Tone.DOUBT),),
                Tone.DOUBT,
                kind=OutcomeKind.LATE_REPLY,
            )
        )
    return rows


def _notes(recorded: RecordedExchange, mended: tuple[MendedReply, ...]) -> tuple[BesideWords, ...]:
    """Return what boxes and the words beside them do not show."""
    notes = []
    for one in recorded.exchange.observations:
        match one:
            case BytesBefore() | BytesAfter() | ForeignFrame():
                continue
            case MarksSeen(marks) if len(marks) <= MOST_MARKS and all(isinstance(mark, ByteMark) for mark in marks):
                continue
            case _:
                notes.append(BesideWords(f"{observation_words(one)}."))
    if len(mended) == 1 and mended[0].mending is Mending.HEAD:
        notes.append(BesideWords("All behind the head is whole: put back, the head makes the CRC fit."))
    return tuple(notes)

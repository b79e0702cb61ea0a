"""Decides what the strip shows: slots from the stream, cuts, what is skipped at high speed, and the sentence."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import replace

from buswalk.bus.messages import Batch, Kept, StreamItem
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply, StrayArrival
from buswalk.domain.modbus.exchange import Exchange, NeverSent, Turnaround
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore, EchoDamaged, EchoHeard, ForeignFrame
from buswalk.domain.visit.session_events import PortClosed, PortFailed, PortOpened, PortReturned, SessionStarted
from buswalk.ui.expected_devices import ExpectedDevices
from buswalk.ui.outcome_kinds import OutcomeKind, Rank, kind_of, rank_of
from buswalk.ui.strip.answer_history import AnswerHistory
from buswalk.ui.strip.sentence_panel import STAYS_TICKS, SentencePanel
from buswalk.ui.strip.slots import Cut, HeardSlot, Sentence, Slot, StripItem, StripMode, StripState
from buswalk.ui.strip.unasked import ForeignHeard, Unasked, UnaskedBytes
from buswalk.ui.strip.words import (
    LINE_QUIET,
    back_sentence,
    doubtful_sentence,
    exchange_sentence,
    foreign_frame,
    late_sentence,
    lost_sentence,
    stray_beside,
    stray_between,
)
from buswalk.ui.wording import duration, seconds_words, stamp

MOST_ITEMS = 240
"""More than the widest window shows."""
CUT_FROM_S = 0.1
SHOWN_A_SECOND = 30
LEAN_FROM_S = 0.002
WAIT_UNTIL_TOLD_S = 0.3
TICKS_A_SECOND = 10
_SKIPPED = (OutcomeKind.ANSWERED, OutcomeKind.SILENT_AS_EXPECTED)


class StripPresenter:
    """Takes the stream, a tick ten times a second, and the cursor keys."""

    def __init__(self) -> None:
        self._expected = ExpectedDevices()
        self._history = AnswerHistory()
        self._unasked = UnaskedBytes()
        self._panel = SentencePanel(LINE_QUIET)
        self._items: deque[StripItem] = deque(maxlen=MOST_ITEMS)
        self._counts: deque[int] = deque([0], maxlen=TICKS_A_SECOND)
        self._wait_s = WAIT_UNTIL_TOLD_S
        self._wall_time = ""
        self._last_end_s: float | None = None
        self._last_second = -1
        self._turn = 0
        self._mode = StripMode.LINE
        self._lost_words = ""
        self._last_sentence: Sentence | None = None
        self._chosen: int | None = None
        self._held: tuple[StripItem, ...] | None = None
        self._announced = ""
        self._quiet_ticks = 0

    # The stream

    def take_batch(self, batch: Batch) -> None:
        """Take all of a batch."""
        for item in batch.items:
            self.take(item)

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self._expected.take(item)
        if not isinstance(item, Kept):
            return
        match item.event:
            case ExchangeDone(exchange):
                self._put_unasked(self._unasked.settle())
                self._take_exchange(exchange)
            case LateReply() as late:
                self._take_late(late)
            case StrayArrival(arrival) if arrival.data:
                self._unasked.take(arrival)
            case SessionStarted(wall_time=wall_time):
                self._begin_session(wall_time)
            case PortOpened():
                self._mode = StripMode.LINE
            case PortReturned(after_s=after_s):
                self._mode = StripMode.LINE
                self._panel.replace(back_sentence(duration(after_s)))
            case PortFailed(at_s=at_s) | PortClosed(at_s=at_s):
                self._lose_port(at_s)
            case _:
                pass

    def tick(self) -> None:
        """A tenth of a second of real time has passed."""
        self._put_unasked(self._unasked.tick())
        self._panel.tick()
        self._quiet_ticks = max(0, self._quiet_ticks - 1)
        self._counts.append(0)

    def use_wait(self, wait_s: float) -> None:
        """Let replies lean by this wait from now on."""
        self._wait_s = max(wait_s, 2 * LEAN_FROM_S)

    # The cursor

    def hold(self) -> None:
        """Space: hold the picture, or let it go on."""
        self._held = tuple(self._items) if self._held is None else None
        if self._held is None:
            self._chosen = None

    def move_cursor(self, step: int) -> None:
        """Arrows: choose the item `step` further right; the newest first."""
        shown = self._shown()
        if not shown:
            return
        at = 0 if self._chosen is None else self._chosen - step
        self._chosen = min(max(at, 0), len(shown) - 1)
        self._over_cuts(shown, 1 if step < 0 else -1)

    def _over_cuts(self, shown: tuple[StripItem, ...], direction: int) -> None:
        """Cuts have nothing to say: go on to the next slot, or back to where there is one."""
        at = self._chosen
        while at is not None and 0 <= at < len(shown) and isinstance(shown[-1 - at], Cut):
            at += direction
        self._chosen = at if at is not None and 0 <= at < len(shown) else None

    def point_at(self, from_end: int | None) -> None:
        """The mouse is over an item, or over none."""
        shown = self._shown()
        is_slot = from_end is not None and 0 <= from_end < len(shown) and not isinstance(shown[-1 - from_end], Cut)
        self._chosen = from_end if is_slot else None

    @property
    def state(self) -> StripState:
        """What to show now."""
        shown = self._shown()
        chosen = self._chosen if self._chosen is not None and self._chosen < len(shown) else None
        under_cursor = shown[-1 - chosen] if chosen is not None else None
        pinned = None if under_cursor is None or isinstance(under_cursor, Cut) else under_cursor.sentence
        return StripState(
            items=shown,
            sentence=pinned or self._panel.sentence,
            spoken=f"Line strip, last: {(self._last_sentence or LINE_QUIET).headline}",
            share_words=f"1 in {self._one_in} shown" if self._one_in > 1 else "",
            chosen=chosen,
            is_held=self._held is not None,
            mode=self._mode,
            lost_words=self._lost_words if self._mode is StripMode.NO_PORT else "",
            is_tinted=self._panel.is_tinted if pinned is None else pinned.rank is not Rank.NORMAL,
            announced=self._announced,
        )

    @property
    def chosen_number(self) -> int:
        """Number of the exchange under the cursor, or of the last one; 0 where there is none."""
        shown = self._shown()
        if self._chosen is not None and self._chosen < len(shown):
            under = shown[-1 - self._chosen]
            return under.number if isinstance(under, Slot) else 0
        return next((one.number for one in reversed(shown) if isinstance(one, Slot)), 0)

    def _shown(self) -> tuple[StripItem, ...]:
        return tuple(self._items) if self._held is None else self._held

    # Putting slots

    def _begin_session(self, wall_time: str) -> None:
        self._wall_time = wall_time
        self._items.clear()
        self._history = AnswerHistory()
        self._unasked = UnaskedBytes()
        self._last_end_s = None
        self._last_second = -1
        self._last_sentence = None
        self._held = self._chosen = None
        self._panel = SentencePanel(LINE_QUIET)

    def _lose_port(self, at_s: float) -> None:
        self._mode = StripMode.NO_PORT
        when = stamp(self._wall_time, at_s)
        self._lost_words = f"no port since {when}" if when else "no port"
        self._panel.replace(lost_sentence(self._last_sentence, self._wall_time, self._last_end_s or at_s))

    def _take_exchange(self, exchange: Exchange) -> None:
        is_expected = self._expected.is_expected(exchange.server_address, exchange.settings)
        kind = kind_of(exchange.outcome, is_expected=is_expected)
        self._history.take(exchange)
        began_s = exchange.sent.at_s if isinstance(exchange.sent, NeverSent) else exchange.sent.begin_s
        sentence = exchange_sentence(exchange, kind, self._history.of(exchange.server_address, exchange.ended_s))
        self._counts[-1] += 1
        self._say(sentence)
        beside = self._beside(exchange)
        is_plain = kind in _SKIPPED and not beside
        if not (is_plain and self._is_skipped()):
            self._cut_before(began_s)
            self._items.append(self._slot(exchange, kind, sentence, began_s))
        self._last_end_s = exchange.ended_s
        for one in beside:
            self._say(one)
        for seen in exchange.observations:
            if isinstance(seen, ForeignFrame):
                self._items.append(HeardSlot(OutcomeKind.FOREIGN_FRAME, foreign_frame(seen.adu), exchange.ended_s))

    def _slot(self, exchange: Exchange, kind: OutcomeKind, sentence: Sentence, began_s: float) -> Slot:
        is_abnormal = rank_of(kind) is not Rank.NORMAL
        second = math.floor(began_s)
        begins_second, self._last_second = second != self._last_second, second
        seen = exchange.observations
        return Slot(
            number=exchange.number,
            server_address=exchange.server_address,
            kind=kind,
            sentence=sentence,
            label=self._label(exchange.server_address, kind),
            is_bold=is_abnormal,
            exception_code=sentence.exception_code,
            lean=self._lean(exchange),
            has_echo=any(isinstance(one, EchoHeard | EchoDamaged) for one in seen),
            has_stray_before=any(isinstance(one, BytesBefore) for one in seen),
            has_stray_after=any(isinstance(one, BytesAfter) for one in seen),
            begins_second=begins_second,
            ended_s=exchange.ended_s,
        )

    def _label(self, address: int, kind: OutcomeKind) -> str:
        """In a search only tens and what is not silent; else every address; to all has none."""
        if address == 0:
            return ""
        is_silent = kind is OutcomeKind.SILENT_AS_EXPECTED
        return str(address) if not (self._expected.is_searching and is_silent and address % 10) else ""

    def _lean(self, exchange: Exchange) -> float:
        if not isinstance(exchange.turnaround, Turnaround):
            return 1.0
        taken_s = max(exchange.turnaround.not_more_than_s, LEAN_FROM_S)
        return min(1.0, math.log(taken_s / LEAN_FROM_S) / math.log(self._wait_s / LEAN_FROM_S))

    def _beside(self, exchange: Exchange) -> list[Sentence]:
        words = []
        for seen in exchange.observations:
            match seen:
                case BytesBefore(data):
                    words.append(stray_beside(exchange, data, is_before=True))
                case BytesAfter(data):
                    words.append(stray_beside(exchange, data, is_before=False))
                case ForeignFrame(adu):
                    words.append(foreign_frame(adu))
                case _:
                    pass
        return words

    def _cut_before(self, began_s: float) -> None:
        if self._last_end_s is not None and began_s - self._last_end_s > CUT_FROM_S:
            pause_s = began_s - self._last_end_s
            words = seconds_words(pause_s) if pause_s < 60 else duration(pause_s)
            self._items.append(Cut(words, pause_s))

    @property
    def _one_in(self) -> int:
        return max(1, math.ceil(sum(self._counts) / SHOWN_A_SECOND))

    def _is_skipped(self) -> bool:
        self._turn = (self._turn + 1) % self._one_in
        return self._turn != 0

    def _take_late(self, late: LateReply) -> None:
        self._unasked.take_late(late.adu)
        if late.credit is not Credit.CREDITED:
            self._say(doubtful_sentence(late.server_address))
            return
        number = late.exchange_numbers[0]
        for i in range(len(self._items) - 1, -1, -1):
            slot = self._items[i]
            if isinstance(slot, Slot) and slot.number == number:
                sentence = late_sentence(late.server_address, late.at_s - slot.ended_s)
                self._items[i] = replace(
                    slot, kind=OutcomeKind.LATE_REPLY, sentence=sentence, label=str(slot.server_address), is_bold=True
                )
                self._say(sentence)
                return
        self._say(late_sentence(late.server_address, None))

    def _put_unasked(self, heard: tuple[Unasked, ...]) -> None:
        for one in heard:
            if isinstance(one, ForeignHeard):
                sentence = foreign_frame(one.adu)
                self._items.append(HeardSlot(OutcomeKind.FOREIGN_FRAME, sentence, one.at_s))
            else:
                sentence = stray_between(one.data)
                self._put_stray(sentence, one.at_s)
            self._say(sentence)

    def _put_stray(self, sentence: Sentence, at_s: float) -> None:
        """Put stray bytes behind the exchange they follow; a run of them without one has a single place."""
        last = self._items[-1] if self._items else None
        if isinstance(last, Slot) and at_s - last.ended_s <= CUT_FROM_S:
            self._items[-1] = replace(last, has_stray_after=True)
        elif not (isinstance(last, HeardSlot) and last.kind is OutcomeKind.STRAY_BYTE and at_s - last.at_s < 1.0):
            self._items.append(HeardSlot(OutcomeKind.STRAY_BYTE, sentence, at_s))

    def _say(self, sentence: Sentence) -> None:
        self._last_sentence = sentence
        self._panel.say(sentence)
        if sentence.rank is not Rank.NORMAL and not self._quiet_ticks:
            self._announced = f"{sentence.headline}, {sentence.words}"
            self._quiet_ticks = STAYS_TICKS

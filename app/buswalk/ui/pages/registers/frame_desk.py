"""Bytes of one's own: what they would be, what is confirmed, and the exchange that came. Plain Python."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Refused
from buswalk.bus.write_messages import SendFrame, WritingTold
from buswalk.domain.line_events import ExchangeDone, LateReply
from buswalk.domain.modbus.outcome import ExceptionReply
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.site.comparison import alike
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.ui.live.feed import Commands
from buswalk.ui.outcome_kinds import kind_of
from buswalk.ui.pages.faults.exchange_picture import exchange_state
from buswalk.ui.pages.faults.exchange_state import ExchangeState
from buswalk.ui.pages.find.exchange_words import came_back_short
from buswalk.ui.pages.registers.frame_form import (
    CHECK_SUMS,
    FrameForm,
    NotAFrame,
    frame_of,
    meaning_of,
    needs_second,
    wait_s_of,
)
from buswalk.ui.pages.registers.frame_state import FrameState
from buswalk.ui.pages.registers.known_devices import KnownDevice
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import hex_bytes, stamp_ms

LOCKED = "writing is locked: Ctrl+U asks why it is to be opened"
CAUTION = (
    "Bytes of your own can do anything to a device, and what they change is not noted: it cannot be put back from "
    "here. Know what hangs on it; local rules and licensed practice come first."
)
MOST_SENT = 20
NOBODY = 0


class FrameDesk:
    """Sends one frame at a time; what came of it is told by the stream."""

    def __init__(self, commands: Commands) -> None:
        self._commands = commands
        self.form = FrameForm()
        self._is_confirmed = False
        self._told, self._told_tone = "", Tone.INK2
        self._awaited = b""
        self._command_id = NOBODY
        self._sent: list[RecordedExchange] = []
        self._chosen = 0
        self._wall_time = ""

    # The stream

    def take_refusal(self, refused: Refused) -> None:
        """Take that a command was not carried out."""
        if refused.command_id == self._command_id:
            self._command_id, self._awaited = NOBODY, b""
            self._tell(f"Not sent: {refused.sentence}.", Tone.DOUBT)

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case SessionStarted(wall_time=wall_time):
                self._wall_time = wall_time
                self._sent.clear()
                self._awaited = b""
                self._tell("")
            case ExchangeDone(exchange) if self._awaited and exchange.request_adu == self._awaited:
                self._awaited = b""
                self._sent.insert(0, RecordedExchange(0, 0, 0, exchange, ()))
                del self._sent[MOST_SENT:]
                self._chosen = 0
                self._tell("")
            case LateReply(exchange_numbers=numbers):
                self._sent = [_with_late(one, event) if one.exchange.number in numbers else one for one in self._sent]
            case _:
                pass

    # What the user does

    def change(self, form: FrameForm) -> None:
        """Take what was typed; what was confirmed was not of it."""
        if form != self.form:
            self._is_confirmed = False
            self._tell("")
        self.form = form

    def confirm(self, *, is_confirmed: bool) -> None:
        """Take the second confirmation, or take it away."""
        self._is_confirmed = is_confirmed

    def choose(self, row: int) -> None:
        """Show another exchange of those that were sent."""
        if 0 <= row < len(self._sent):
            self._chosen = row

    def type_again(self, row: int) -> None:
        """Put what was sent into the entry once more, its check sum as it was."""
        if 0 <= row < len(self._sent):
            adu = self._sent[row].exchange.request_adu
            self.change(replace(self.form, typed=hex_bytes(adu), check_sum=CHECK_SUMS[-1]))

    def send(self, device: KnownDevice, lock: WritingTold) -> None:
        """Send it once; say what is missing where it cannot be."""
        try:
            frame, wait_s = frame_of(self.form), wait_s_of(self.form.wait)
        except NotAFrame as problem:
            self._tell(str(problem), Tone.DOUBT)
            return
        if not lock.is_open:
            self._tell("Writing is locked: unlock it first (Ctrl+U).", Tone.DOUBT)
            return
        second = needs_second(frame)
        if second and not self._is_confirmed:
            self._tell("Not sent: it needs the second confirmation first.", Tone.DOUBT)
            return
        self._is_confirmed = False
        self._awaited = frame
        self._tell("Sent, a reply is waited for…")
        self._command_id = self._commands.send(SendFrame(frame, alike(device.settings), wait_s, second))

    def _tell(self, words: str, tone: Tone = Tone.INK2) -> None:
        self._told, self._told_tone = words, tone

    # What is shown

    def state(self, device: KnownDevice, lock: WritingTold) -> FrameState:
        """Return what was typed and what came."""
        state = FrameState(
            typed=self.form.typed,
            check_sum=CHECK_SUMS.index(self.form.check_sum),
            wait=self.form.wait,
            cautions=(CAUTION,),
            is_confirmed=self._is_confirmed,
            refusal="" if lock.is_open else LOCKED,
            told=self._told,
            told_tone=self._told_tone,
            exchange=self._shown(),
            sent=tuple(self._row(one) for one in self._sent),
        )
        try:
            frame = frame_of(self.form)
            wait_s_of(self.form.wait)
        except NotAFrame as problem:
            is_wrong = bool(self.form.typed.strip())
            return replace(state, meaning=str(problem), meaning_tone=Tone.DOUBT if is_wrong else Tone.INK2)
        meaning = meaning_of(frame, str(alike(device.settings)))
        return replace(state, leaves=hex_bytes(frame), meaning=meaning, confirm=needs_second(frame))

    def _shown(self) -> ExchangeState | None:
        if not self._sent:
            return None
        return exchange_state(self._sent[self._chosen], 0, self._wall_time)

    def _row(self, one: RecordedExchange) -> Row:
        exchange = one.exchange
        kind = kind_of(exchange.outcome, is_expected=True)
        code = exchange.outcome.exception_code if isinstance(exchange.outcome, ExceptionReply) else 0
        return (
            Cell(stamp_ms(self._wall_time, exchange.ended_s), Tone.INK2),
            Cell(hex_bytes(exchange.request_adu), weight=Weight.FIXED),
            Cell(came_back_short(exchange), shape=kind, exception_code=code),
        )


def _with_late(one: RecordedExchange, late: LateReply) -> RecordedExchange:
    return replace(one, late=(*one.late, late))

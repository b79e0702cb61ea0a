"""The write box: the lock, one value at a time, what came of it, and what was not put back. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.bus.messages import Command, LockWriting, PutBack, UnlockWriting, WriteValue, WritingTold
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.conversion import NotRepresentable, words_for
from buswalk.domain.registers.point import Access, Point
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.registers.writing.checks import cautions_of, confirmations_needed, problems_of
from buswalk.domain.registers.writing.events import OldRead, WriteBegun, WriteGivenUp, WriteJudged, Written
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace, SecondConfirmation
from buswalk.domain.registers.writing.order import WriteOrder
from buswalk.domain.registers.writing.visit_writes import Change, OneWrite, VisitWrites
from buswalk.domain.registers.writing.words import answer_words, verdict_meaning, words_in_place
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.registers.point_words import TABLE_WORDS, range_words
from buswalk.ui.pages.registers.registers_state import WriteFace, WriteState
from buswalk.ui.pages.registers.write_words import CONFIRM_WORDS, change_row, headline, steps_of
from buswalk.ui.tones import Tone
from buswalk.ui.wording import MINUS, duration

LEAST_REASON = "Say why first: it is kept in the record."


@dataclass(frozen=True, slots=True)
class WriteTarget:
    """The focused point of a device, and its words as last read; empty for not read."""

    server_address: int
    settings: SerialSettings
    point: Point
    is_raw: bool
    words: tuple[int, ...]
    minimum_gap_s: float = 0.0
    wait_s: float = 1.0


class WriteDesk:
    """Sends nothing but orders; what they did comes back by the stream."""

    def __init__(self, commands: Commands) -> None:
        self._commands = commands
        self._lock = WritingTold(is_open=False, reason="", left_s=0.0)
        self._is_asking = False
        self._visit = VisitWrites()
        self._session = 0
        self._written_at_s: dict[tuple[int, int], float] = {}
        self._answers: dict[tuple[int, int], str] = {}
        self._told, self._told_tone = "", Tone.INK2
        self._confirmed = False
        self._listed: list[Change] = []
        self._focus_wanted = 0
        self._wall_time = ""

    # The stream

    def take_lock(self, told: WritingTold) -> None:
        """Take how the lock stands."""
        if told.is_open and not self._lock.is_open:
            self._is_asking = False
        self._lock = told

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case SessionStarted(wall_time=wall_time):
                self._session += 1
                self._wall_time = wall_time
                self._lock = WritingTold(is_open=False, reason="", left_s=0.0)
                self._is_asking = False
            case WriteBegun():
                self._tell("")
            case Written(write=number, answer=answer, exception_code=code, at_s=at_s):
                self._written_at_s[self._session, number] = at_s
                self._answers[self._session, number] = answer_words(answer, code)
                self._focus_wanted += 1
            case WriteGivenUp(sentence=sentence):
                self._tell(f"Not written: {sentence}.", Tone.DOUBT)
            case WriteJudged():
                pass
        self._visit = self._visit.after(event, self._session)

    # What the user does

    def toggle_lock(self) -> None:
        """Ctrl+U: ask for the reason, or lock."""
        if self._lock.is_open:
            self._send(LockWriting())
        else:
            self._is_asking = not self._is_asking
            self._tell("")

    def unlock(self, reason: str) -> None:
        """Open the lock for a reason."""
        if not reason.strip():
            self._tell(LEAST_REASON, Tone.DOUBT)
            return
        self._tell("")
        self._send(UnlockWriting(reason.strip()))

    def leave_question(self) -> bool:
        """Esc: leave it locked; tell whether there was a question."""
        was_asking, self._is_asking = self._is_asking, False
        return was_asking

    def confirm(self, *, is_confirmed: bool) -> None:
        """Take the second confirmation, or take it away."""
        self._confirmed = is_confirmed

    def forget_confirmation(self) -> None:
        """Another point is focused: what was confirmed was not of it."""
        self._confirmed = False
        self._tell("")

    def write(self, target: WriteTarget, text: str) -> None:
        """Order one value."""
        intended = self._intended(target, text)
        if intended is None:
            return
        needed = self._needed(target, intended)
        if needed and not self._confirmed:
            self._tell("Not written: it needs the second confirmation first.", Tone.DOUBT)
            return
        order = WriteOrder(
            intended,
            self._lock.reason,
            target.words,
            needed,
            response_timeout_s=target.wait_s,
            minimum_gap_s=target.minimum_gap_s,
        )
        self._confirmed = False
        self._tell("Writing, then reading back…")
        self._send(WriteValue(order))

    def put_back(self, target: WriteTarget) -> None:
        """Put a place back to what stood there before this visit changed it."""
        place = _as_it_is(target).target
        change = next((one for one in self._visit.not_put_back() if one.intended.target == place), None)
        if change is not None:
            self._put_back(change)

    def put_back_row(self, row: int) -> None:
        """Put back a row of the list, which leaves out the focused place: that has a button of its own."""
        if 0 <= row < len(self._listed):
            self._put_back(self._listed[row])

    def _put_back(self, change: Change) -> None:
        if not self._lock.is_open:
            self._is_asking = True
            self._tell("Unlock first: putting back is a write too.", Tone.DOUBT)
            return
        old = change.first.begun.old
        if not isinstance(old, OldRead):
            self._tell(f"It cannot be put back: {old.why}.", Tone.DOUBT)
            return
        needed = confirmations_needed(change.intended, self._visit.count_to(change.intended.target))
        if needed and not self._confirmed:
            self._tell("It needs the second confirmation first.", Tone.DOUBT)
            return
        self._tell("Putting back, then reading back…")
        if change.first == change.last and change.last.session == self._session:
            self._send(PutBack(change.last.begun.write, self._lock.reason, needed))
            return
        back = replace(change.intended, words=old.words)
        self._send(WriteValue(WriteOrder(back, self._lock.reason, change.last.left_behind, needed)))

    def _send(self, command: Command) -> None:
        self._commands.send(command)

    def _tell(self, words: str, tone: Tone = Tone.INK2) -> None:
        self._told, self._told_tone = words, tone

    # What is meant

    def _intended(self, target: WriteTarget, text: str) -> IntendedWrite | None:
        """Return the write that a text means; None, and say why, where it means none."""
        if not self._lock.is_open:
            self._tell("Writing is locked: unlock it first (Ctrl+U).", Tone.DOUBT)
            return None
        if not text.strip():
            self._tell("Type the new value first.", Tone.DOUBT)
            return None
        try:
            words = words_for(target.point, typed_value(target.point, text))
            intended = IntendedWrite(target.server_address, target.settings, place_of(target), words)
        except NotRepresentable as reason:
            self._tell(f"Not written: {reason.sentence}.", Tone.DOUBT)
            return None
        except ValueError as reason:
            self._tell(f"Not written: {reason}.", Tone.DOUBT)
            return None
        problems = problems_of(intended)
        if problems:
            self._tell(f"Not written: {'; '.join(problems)}.", Tone.DOUBT)
            return None
        return intended

    def _needed(self, target: WriteTarget, intended: IntendedWrite) -> frozenset[SecondConfirmation]:
        """Return what must be confirmed apart; of what cannot be read, that there is no way back."""
        needed = confirmations_needed(intended, self._visit.count_to(intended.target))
        is_without_way_back = not (intended.can_be_read and target.point.can_be_read) and not intended.is_broadcast
        return needed | {SecondConfirmation.NO_WAY_BACK} if is_without_way_back else needed

    # What is shown

    @property
    def not_put_back(self) -> int:
        """How many places do not hold what they held."""
        return len(self._visit.not_put_back())

    @property
    def is_asking(self) -> bool:
        """Whether the question stands."""
        return self._is_asking

    def state(self, target: WriteTarget | None, now_s: float) -> WriteState:
        """Return the write box for the focused point."""
        state = self._lock_state(self._target_state(target))
        place = _as_it_is(target).target if target is not None and target.point.table.can_be_written else None
        self._listed = [one for one in self._visit.not_put_back() if one.intended.target != place]
        state = replace(
            state,
            told=self._told,
            told_tone=self._told_tone,
            changes=tuple(change_row(one) for one in self._listed),
            focus_wanted=self._focus_wanted,
        )
        return self._with_last_write(state, target, now_s)

    def _lock_state(self, state: WriteState) -> WriteState:
        if self._lock.is_open:
            return replace(state, face=WriteFace.OPEN, title=f"Writing is open for {duration(self._lock.left_s)}")
        if self._is_asking:
            return replace(state, face=WriteFace.QUESTION, title="Open writing for 5 minutes?")
        return state

    def _target_state(self, target: WriteTarget | None) -> WriteState:
        if target is None:
            return WriteState(refusal="Choose a point in the table first.")
        name = target.point.words or target.point.name
        refusal = _refusal(target)
        if refusal:
            return WriteState(name=name, refusal=refusal)
        intended = _as_it_is(target)
        old = words_in_place(intended, target.words) if target.words else "not read"
        found = cautions_of(intended, old_is_known=target.point.can_be_read and intended.can_be_read)
        cautions = tuple(f"{one.sentence[0].upper()}{one.sentence[1:]}." for one in found)
        needed = self._needed(target, intended)
        confirm = " ".join(CONFIRM_WORDS[one] for one in SecondConfirmation if one in needed)
        return WriteState(
            name=name,
            old_value=with_minus(old),
            hint=hint_words(target.point),
            cautions=cautions,
            confirm=confirm,
            is_confirmed=self._confirmed and bool(confirm),
        )

    def _with_last_write(self, state: WriteState, target: WriteTarget | None, now_s: float) -> WriteState:
        if target is None or not target.point.table.can_be_written:
            return state
        place = _as_it_is(target).target
        mine = [one for one in self._visit.writes if one.begun.intended.target == place]
        if not mine:
            return state
        last = mine[-1]
        key = (last.session, last.begun.write)
        left = any(one.intended.target == place for one in self._visit.not_put_back())
        old = last.begun.old
        words = "" if not left else f"Put {with_minus(words_in_place(last.begun.intended, _first_old(mine)))} back"
        return replace(
            state,
            headline=headline(last, self._wall_time),
            steps=steps_of(last, self._written_at_s.get(key), now_s),
            verdict=self._verdict_words(last, key),
            put_back=words if isinstance(old, OldRead) or left else "",
            put_back_refusal="" if self._lock.is_open else "writing is locked: unlock it first (Ctrl+U)",
        )

    def _verdict_words(self, last: OneWrite, key: tuple[int, int]) -> str:
        answer = self._answers.get(key, "")
        said = f"The device: {answer}. " if answer and answer != "confirmed" else ""
        if not last.looks:
            return said.rstrip()
        meaning = verdict_meaning(last.verdict)
        so_far = "" if last.is_judged else " So far; the reading goes on meanwhile."
        return f"{said}{meaning[0].upper()}{meaning[1:]}.{so_far}"


def _first_old(writes: list[OneWrite]) -> tuple[int, ...]:
    old = writes[0].begun.old
    return old.words if isinstance(old, OldRead) else ()


def place_of(target: WriteTarget) -> KnownPlace | RawPlace:
    """Return where a point is written; without a profile nothing is known of it."""
    if target.is_raw:
        return RawPlace(target.point.table, target.point.register_address, target.point.value_type.words)
    return KnownPlace(target.point)


def _as_it_is(target: WriteTarget) -> IntendedWrite:
    """Return the write of what stands there, to ask what would speak against any."""
    words = target.words or (0,) * target.point.value_type.words
    return IntendedWrite(target.server_address, target.settings, place_of(target), words)


def _refusal(target: WriteTarget) -> str:
    point = target.point
    if not point.table.can_be_written:
        return f"{TABLE_WORDS[point.table]} cannot be written: the standard has no function for it."
    if point.access is Access.READ:
        return "The list says that this point is only read."
    return ""


def typed_value(point: Point, text: str) -> str:
    """Return a typed value as conversion takes it: a comma or a true minus as people type them, a unit left away."""
    said = text.strip()
    if point.value_type.layout is Layout.TEXT:
        return said
    if point.unit and said.endswith(point.unit):
        said = said[: -len(point.unit)].strip()
    if any(one.words.casefold() == said.casefold() for one in point.named):
        return said
    said = said.replace(MINUS, "-")
    return said.replace(",", ".") if said.count(",") == 1 and "." not in said else said


def hint_words(point: Point) -> str:
    """Return what can be typed."""
    if point.named:
        return " or ".join(one.words for one in point.named[:4])
    if point.value_type.layout is Layout.BIT:
        return "on or off"
    return range_words(point) or (f"in {point.unit}" if point.unit else "a number")


def with_minus(words: str) -> str:
    """Return words with a true minus at their head."""
    return f"{MINUS}{words[1:]}" if words[:1] == "-" else words

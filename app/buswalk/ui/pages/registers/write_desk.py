"""The write box: the lock, one value at a time, what came of it, and what was not put back. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.bus.messages import Command
from buswalk.bus.write_messages import LockWriting, PutBack, PutBackPlace, UnlockWriting, WriteValue, WritingTold
from buswalk.domain.registers.conversion import NotRepresentable, words_for
from buswalk.domain.registers.writing.checks import cautions_of, confirmations_needed, problems_of
from buswalk.domain.registers.writing.earlier_writes import EarlierWrites
from buswalk.domain.registers.writing.events import OldRead, WriteBegun, WriteGivenUp, Written
from buswalk.domain.registers.writing.intended import IntendedWrite, SecondConfirmation
from buswalk.domain.registers.writing.order import WriteOrder
from buswalk.domain.registers.writing.visit_writes import Change, OneWrite
from buswalk.domain.registers.writing.words import answer_words, verdict_meaning, words_in_place
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.registers.known_writes import KnownWrites
from buswalk.ui.pages.registers.registers_state import SecondQuestion, WriteFace, WriteState
from buswalk.ui.pages.registers.second_question import Weighed, second_question
from buswalk.ui.pages.registers.write_target import (
    WriteTarget,
    as_it_is,
    hint_words,
    place_of,
    refusal_words,
    typed_value,
    with_minus,
)
from buswalk.ui.pages.registers.write_words import change_row, changes_note, headline, steps_of
from buswalk.ui.tones import Tone
from buswalk.ui.wording import duration

LEAST_REASON = "Say why first: it is kept in the record."


@dataclass(frozen=True, slots=True)
class _Waiting:
    """A write that is sent when it was confirmed apart; `None` for none."""

    command: Command | None
    told: str
    question: SecondQuestion


NOTHING_WAITS = _Waiting(None, "", SecondQuestion())
LOCKED = WritingTold(is_open=False, reason="", left_s=0.0)
AT_ONCE, ASKED_AGAIN = "Write and read back", "Write…"


class WriteDesk:
    """Sends nothing but orders; what they did comes back by the stream."""

    def __init__(self, commands: Commands) -> None:
        self._commands = commands
        self._lock = LOCKED
        self._is_asking = False
        self._writes = KnownWrites()
        self._written_at_s: dict[tuple[int, int], float] = {}
        self._answers: dict[tuple[int, int], str] = {}
        self._told, self._told_tone = "", Tone.INK2
        self._waiting = NOTHING_WAITS
        self._listed: list[Change] = []
        self._focus_wanted = 0
        self._now_s = 0.0

    # The stream

    def take_lock(self, told: WritingTold) -> None:
        """Take how the lock stands; what waits to be confirmed is left when it is shut."""
        if told.is_open and not self._lock.is_open:
            self._is_asking = False
        if not told.is_open:
            self._waiting = NOTHING_WAITS
        self._lock = told

    def take_earlier(self, earlier: EarlierWrites) -> None:
        """Take what the sessions before this one wrote."""
        self._writes.tell_earlier(earlier)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        self._writes.take(event)
        session = self._writes.session
        match event:
            case SessionStarted():
                self._lock, self._waiting = LOCKED, NOTHING_WAITS
                self._is_asking = False
            case WriteBegun():
                self._tell("")
            case Written(write=number, answer=answer, exception_code=code, at_s=at_s):
                self._written_at_s[session, number] = at_s
                self._answers[session, number] = answer_words(answer, code)
                self._focus_wanted += 1
            case WriteGivenUp(sentence=sentence):
                self._tell(f"Not written: {sentence}.", Tone.DOUBT)

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
        """Esc: leave it locked, or write nothing; tell whether there was a question."""
        had_question = self.has_question
        if self.is_asking_again:
            self._tell("Nothing was written.")
        self._is_asking, self._waiting = False, NOTHING_WAITS
        return had_question

    def confirm(self) -> None:
        """Take the second confirmation: the write that waits for it is sent."""
        waiting, self._waiting = self._waiting, NOTHING_WAITS
        if waiting.command is not None:
            self._tell(waiting.told)
            self._send(waiting.command)

    def forget_confirmation(self) -> None:
        """Another point is focused: what was to be confirmed was not of it."""
        self._waiting = NOTHING_WAITS
        self._tell("")

    def write(self, target: WriteTarget, text: str) -> None:
        """Order one value; where it must be confirmed apart, ask first."""
        intended = self._intended(target, text)
        if intended is None:
            return
        needed = self._needed(target, intended)
        order = WriteOrder(
            intended,
            self._lock.reason,
            target.words,
            needed,
            response_timeout_s=target.wait_s,
            minimum_gap_s=target.minimum_gap_s,
        )
        self._send_or_ask(WriteValue(order), intended, "Writing, then reading back…", needed, target.known)

    def put_back(self, target: WriteTarget) -> None:
        """Put a place back to what stood there before this visit changed it."""
        change = self._writes.change_of(as_it_is(target).target)
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
        target = change.intended.target
        needed = confirmations_needed(change.intended, self._writes.count_to(target))
        command: Command = PutBackPlace(target, self._lock.reason, needed)
        if change.first == change.last and not self._writes.is_earlier(change.last):
            command = PutBack(change.last.begun.write, self._lock.reason, needed)
        back = replace(change.intended, words=old.words)
        self._send_or_ask(command, back, "Putting back, then reading back…", needed, ())

    def _send_or_ask(
        self,
        command: Command,
        intended: IntendedWrite,
        told: str,
        needed: frozenset[SecondConfirmation],
        known: tuple[int, ...],
    ) -> None:
        if not needed:
            self._tell(told)
            self._send(command)
            return
        weighed = Weighed(known, self._writes.wear(intended.target, self._now_s))
        self._tell("")
        self._waiting = _Waiting(command, told, second_question(intended, needed, weighed))

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
        needed = confirmations_needed(intended, self._writes.count_to(intended.target))
        is_without_way_back = not (intended.can_be_read and target.point.can_be_read) and not intended.is_broadcast
        return needed | {SecondConfirmation.NO_WAY_BACK} if is_without_way_back else needed

    # What is shown

    @property
    def lock(self) -> WritingTold:
        """How the lock stands; moves and bytes of one's own are behind the same."""
        return self._lock

    @property
    def listed(self) -> int:
        """How many rows the list of what was changed has."""
        return len(self._listed)

    @property
    def not_put_back(self) -> int:
        """How many places do not hold what they held."""
        return len(self._writes.not_put_back())

    @property
    def is_asking(self) -> bool:
        """Whether the question for the reason stands."""
        return self._is_asking

    @property
    def has_question(self) -> bool:
        """Whether one of both questions stands."""
        return self.is_asking or self.is_asking_again

    @property
    def is_asking_again(self) -> bool:
        """Whether a write waits to be confirmed apart."""
        return self._waiting.command is not None

    def state(self, target: WriteTarget | None, now_s: float) -> WriteState:
        """Return the write box for the focused point."""
        state = self._lock_state(self._target_state(target))
        place = as_it_is(target).target if target is not None and target.point.table.can_be_written else None
        self._listed = [one for one in self._writes.not_put_back() if one.intended.target != place]
        state = replace(
            state,
            told=self._told,
            told_tone=self._told_tone,
            changes=tuple(change_row(one) for one in self._listed),
            changes_note=changes_note(self._writes, self._listed),
            focus_wanted=self._focus_wanted,
        )
        return self._with_last_write(state, target, now_s)

    def _lock_state(self, state: WriteState) -> WriteState:
        if self.is_asking_again:
            return replace(
                state, face=WriteFace.SECOND, title=self._waiting.question.title, second=self._waiting.question
            )
        if self._lock.is_open:
            return replace(state, face=WriteFace.OPEN, title=f"Writing is open for {duration(self._lock.left_s)}")
        if self._is_asking:
            return replace(state, face=WriteFace.QUESTION, title="Open writing for 5 minutes?")
        return state

    def _target_state(self, target: WriteTarget | None) -> WriteState:
        if target is None:
            return WriteState(refusal="Choose a point in the table first.")
        name = target.point.words or target.point.name
        refusal = refusal_words(target)
        if refusal:
            return WriteState(name=name, refusal=refusal)
        intended = as_it_is(target)
        old = words_in_place(intended, target.words) if target.words else "not read"
        found = cautions_of(intended, old_is_known=target.point.can_be_read and intended.can_be_read)
        cautions = tuple(f"{one.sentence[0].upper()}{one.sentence[1:]}." for one in found)
        needed = self._needed(target, intended)
        return WriteState(
            name=name,
            old_value=with_minus(old),
            hint=hint_words(target.point),
            cautions=cautions,
            write_words=ASKED_AGAIN if needed else AT_ONCE,
        )

    def _with_last_write(self, state: WriteState, target: WriteTarget | None, now_s: float) -> WriteState:
        if target is None or not target.point.table.can_be_written:
            return state
        place = as_it_is(target).target
        mine = list(self._writes.to(place))
        if not mine:
            return state
        last = mine[-1]
        key = (last.session, last.begun.write)
        left = self._writes.change_of(place) is not None
        old = last.begun.old
        words = "" if not left else f"Put {with_minus(words_in_place(last.begun.intended, _first_old(mine)))} back"
        return replace(
            state,
            headline=headline(last, self._writes.when(last)),
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
        if so_far and self._writes.is_earlier(last):
            so_far = " That was the last look: the session was broken off."
        return f"{said}{meaning[0].upper()}{meaning[1:]}.{so_far}"


def _first_old(writes: list[OneWrite]) -> tuple[int, ...]:
    old = writes[0].begun.old
    return old.words if isinstance(old, OldRead) else ()

"""How far the last move of this session has come, from the events of its job. Plain Python."""

from __future__ import annotations

from buswalk.domain.readdressing.events import (
    CompanyLooked,
    OldSettingsRead,
    PlacesLooked,
    ReaddressBegun,
    ReaddressEnded,
    RestartSeen,
    RestartWanted,
    SettingWritten,
)
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan
from buswalk.ui.pages.registers.move_state import MoveOutcome, MoveStep
from buswalk.ui.pages.registers.move_words import (
    END_WORDS,
    answered_words,
    company_words,
    end_tone,
    place_row,
    reach_words,
    written_words,
)
from buswalk.ui.tones import Tone
from buswalk.ui.wording import duration

READY = "Here it will stand: what was looked at, what the device said, and where it is then."
CYCLE_NOW = "Now take its supply away for some seconds and give it back. It is looked for meanwhile."
MIND = "Mind what starts or stops with it; leave mains to who is licensed for it."
_ALONE, _OLD, _LOOK, _RESTART = "Is it alone?", "What it held", "Where is it?", "Its supply"


class MoveRun:
    """One run of the job and the looks behind it."""

    def __init__(self) -> None:
        self.plan: ReaddressPlan | None = None
        """What is looked for; None before the first."""
        self.has_written = False
        self.is_running = False
        self.waits_for_restart = False
        self.others: tuple[int, ...] = ()
        self._before: Reach | None = None
        self._after: Reach | None = None
        self._steps: list[MoveStep] = []
        self._looked: PlacesLooked | None = None
        self._ended: ReaddressEnded | None = None
        self._give_up_s = 0.0
        self._stopped = ""

    # The stream

    def take(self, event: object) -> None:
        """Take an event of the job."""
        match event:
            case ReaddressBegun():
                self._begin(event)
            case CompanyLooked(asked=asked, others=others):
                self.others = others
                self._done(_ALONE, company_words(asked, others), Tone.DOUBT if others else Tone.INK2)
            case OldSettingsRead(held=held):
                told = ", ".join(f"register {one.register_address} held {one.value}" for one in held)
                self._done(_OLD, told or "nothing could be read: there will be no way back by the old values")
            case SettingWritten(written=written, answer=answer, exception_code=code):
                self.has_written = True
                name = f"Write {written.register_address} = {written.value}"
                self._done(name, written_words(answer, code), Tone.REFUSE if code else Tone.INK2)
            case PlacesLooked():
                self._looked, self.waits_for_restart = event, False
                self._done(_LOOK, answered_words(event.answered))
            case RestartWanted(within_s=within_s, at_s=at_s):
                self.waits_for_restart, self._give_up_s = True, at_s + within_s
            case RestartSeen(silent_s=silent_s):
                self.waits_for_restart = False
                self._done(_RESTART, f"cycled: it was silent for {silent_s:.0f} s and answers again")
            case ReaddressEnded():
                self._ended, self.waits_for_restart = event, False
            case _:
                pass

    def _begin(self, event: ReaddressBegun) -> None:
        self._before, self._after = event.before, event.after
        self.plan = ReaddressPlan(event.before, event.after, event.writes, event.reason)
        self._steps, self._looked, self._ended, self._stopped = [], None, None, ""
        self.others, self.has_written, self.waits_for_restart = (), False, False

    def look_begins(self) -> None:
        """A look behind the write begins: what is known by now stands until it has ended."""
        self._ended, self._stopped = None, ""

    def job_ended(self, sentence: str) -> None:
        """The job is over; stopped, failed, or in order."""
        self.is_running = self.waits_for_restart = False
        if self._ended is None:
            self._stopped = sentence.split(";")[0]

    def _done(self, name: str, words: str, tone: Tone = Tone.INK2) -> None:
        """Note what came of a step; the same step again takes the place of the one before."""
        step = MoveStep(name, words, tone)
        if self._steps and self._steps[-1].name == name:
            self._steps[-1] = step
        else:
            self._steps.append(step)

    # What is shown

    @property
    def places(self) -> tuple[Reach, ...]:
        """The places of the move: old and new address, old and new speed."""
        return self.plan.places if self.plan is not None else ()

    def outcome(self, now_s: float) -> MoveOutcome:
        """Return it as shown at a line time."""
        if self._before is None or self._after is None:
            return MoveOutcome(self.sentence(now_s), headline=READY, headline_tone=Tone.INK2)
        headline, tone = self._headline(now_s)
        asked, answered = (self._looked.asked, self._looked.answered) if self._looked is not None else ((), ())
        return MoveOutcome(
            self.sentence(now_s),
            title=f"From {reach_words(self._before)} to {reach_words(self._after)}",
            headline=headline,
            headline_tone=tone,
            steps=(*self._steps, *self._waiting(now_s)),
            rows=tuple(place_row(one, asked, answered) for one in self.places),
        )

    def sentence(self, now_s: float) -> str:
        """Return in a few words how it stands."""
        if self._before is None or self._after is None:
            return "No device was moved in this session. Nothing is written before you confirm it."
        what = f"{self._before.server_address} to {_place_words(self._before, self._after)}"
        if self.waits_for_restart:
            left = duration(max(0.0, self._give_up_s - now_s))
            return f"{what}: its supply is to be cycled now, {left} left."
        if self._ended is not None:
            return f"{what}: {END_WORDS[self._ended.end]}."
        if self.is_running:
            return f"{what}: {'it is looked for.' if self.has_written else 'checking, nothing is written yet.'}"
        return f"{what}: {'broken off behind a write.' if self.has_written else 'nothing was written.'}"

    def _headline(self, now_s: float) -> tuple[str, Tone]:
        if self.waits_for_restart:
            left = duration(max(0.0, self._give_up_s - now_s))
            return f"{CYCLE_NOW} {left} left. {MIND}", Tone.DOUBT
        if self._ended is not None:
            sentence = self._ended.sentence
            return f"{sentence[0].upper()}{sentence[1:]}.", end_tone(self._ended.end)
        if self.is_running:
            return ("It was written to: it is looked for." if self.has_written else "Nothing is written yet."), Tone.INK
        if self.has_written:
            return f"Broken off behind a write: {self._why}. Look again to see where it is.", Tone.DOUBT
        return f"Nothing was written: {self._why}.", Tone.DOUBT

    @property
    def _why(self) -> str:
        return self._stopped or "it was stopped"

    def _waiting(self, now_s: float) -> tuple[MoveStep, ...]:
        if not self.is_running or self._ended is not None:
            return ()
        if self.waits_for_restart:
            left = duration(max(0.0, self._give_up_s - now_s))
            return (MoveStep(_RESTART, f"waited for, {left} left", is_done=False),)
        done = {one.name for one in self._steps}
        if _ALONE not in done:
            return (MoveStep(_ALONE, "listening, then asking the others", is_done=False),)
        return (MoveStep(_LOOK, "being looked at", is_done=False),)


def _place_words(before: Reach, after: Reach) -> str:
    return str(after.server_address) if after.settings == before.settings else reach_words(after)

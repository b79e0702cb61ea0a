"""The guided job that sets a device to another address or speed: form, lock, its way back. Plain Python."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import LookForMoved, StartReaddress
from buswalk.bus.write_messages import WritingTold
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan
from buswalk.domain.readdressing.proposal import Proposal, proposal_for
from buswalk.domain.readdressing.visit_moves import NO_MOVES, Move
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.writing.events import WritingLocked
from buswalk.domain.site.comparison import alike
from buswalk.domain.visit.session_events import JobEnded, JobStarted, SessionStarted
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.pages.registers.known_devices import KnownDevice
from buswalk.ui.pages.registers.move_form import (
    MoveForm,
    NotAMove,
    confirmed_by,
    form_of,
    framings_for,
    plan_of,
    reach_of,
    speeds_for,
    written_words,
)
from buswalk.ui.pages.registers.move_run import MoveRun
from buswalk.ui.pages.registers.move_state import MoveOutcome, MoveState, MoveTyped
from buswalk.ui.pages.registers.move_words import (
    CAUTIONS,
    TYPED_HINT,
    alone_words,
    move_row,
    places_words,
    proposal_words,
    reach_words,
)
from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone
from buswalk.ui.wording import duration

MOVE_JOB, LOOK_JOB = "set address", "look for it"
"""As the bus process names them."""
FORECAST_REASON = "forecast"
LOOKS_TAKE_S = 60.0
"""So long the lock is to be open beyond the checks, so that it does not shut between two writes."""
LOCKED = "writing is locked: Ctrl+U asks why it is to be opened"
NOT_WRITTEN = "nothing has been written to a device yet"


class MoveDesk:
    """Sends the job; what it did comes back by the stream."""

    def __init__(self, jobs: JobDesk) -> None:
        self._jobs = jobs
        self.run = MoveRun()
        self.form = MoveForm()
        self._visit = NO_MOVES
        self._session = 0
        self._here: Reach | None = None
        self._proposed = ""
        self._is_own = False
        self._told, self._told_tone = "", Tone.DOUBT
        self._cleared = 0

    # The stream

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case SessionStarted():
                self._session += 1
                self.run = MoveRun()
                self._here = None
            case JobStarted(name=name) if name in (MOVE_JOB, LOOK_JOB):
                self.run.is_running = True
                self._tell("")
            case JobEnded(name=name, sentence=sentence) if name in (MOVE_JOB, LOOK_JOB):
                self.run.job_ended(sentence)
            case WritingLocked():
                self._tell("")
            case _:
                self.run.take(event)
        self._visit = self._visit.after(event, self._session)

    # What the user does

    def show(self, device: KnownDevice, profile: RegisterProfile) -> None:
        """Another device is shown, or by another list: the form is its own, what the list says is filled in."""
        here = Reach(device.server_address, alike(device.settings)) if device.server_address else None
        if here != self._here:
            self._here = here
            self.form = form_of(here) if here is not None else MoveForm()
            self._is_own = False
            self._tell("")
        self._propose(profile)

    def change(self, typed: MoveTyped, profile: RegisterProfile) -> None:
        """Take what was typed; what the list says follows the new place until something else was written there."""
        form = MoveForm(
            typed.address,
            speeds_for(self.form.baud_rate)[typed.speed],
            framings_for(self.form.framing)[typed.framing],
            typed.writes,
            typed.confirmed,
            typed.may_have_company,
        )
        if form.writes != self.form.writes:
            self._is_own = form.writes.strip() not in ("", self._proposed)
        if form != self.form:
            self._tell("")
        self.form = form
        self._propose(profile)

    def _propose(self, profile: RegisterProfile) -> None:
        self._proposed = written_words(self._proposal(profile).writes)
        if not self._is_own:
            self.form = replace(self.form, writes=self._proposed)

    def _proposal(self, profile: RegisterProfile) -> Proposal:
        if self._here is None:
            return Proposal()
        try:
            return proposal_for(profile, self._here, reach_of(self.form))
        except NotAMove:
            return Proposal()

    def start(self, lock: WritingTold, found: frozenset[int], response_timeout_s: float) -> None:
        """Begin the job, if everything is there for it; say what is not."""
        try:
            plan = self._startable(lock, found, response_timeout_s)
        except NotAMove as problem:
            self._tell(str(problem))
            return
        self._cleared += 1
        self.form = replace(self.form, confirmed="", may_have_company=False)
        self._tell("")
        self._jobs.start(StartReaddress(plan), _nothing)

    def _startable(self, lock: WritingTold, found: frozenset[int], response_timeout_s: float) -> ReaddressPlan:
        here = self._here
        if here is None:
            raise NotAMove("Choose one device: 0 is all at once.")
        if not lock.is_open:
            raise NotAMove("Writing is locked: unlock it first (Ctrl+U).")
        plan = plan_of(self.form, here, lock.reason, response_timeout_s)
        other = plan.after.server_address
        if other != here.server_address and other in found:
            raise NotAMove(f"Address {other} is taken: something was found there; choose another, or take it away.")
        wanted = confirmed_by(here, plan.after)
        if self.form.confirmed.strip() != wanted:
            raise NotAMove(f"To confirm, type '{wanted}' once more; '{self.form.confirmed.strip()}' stands there.")
        if lock.left_s < plan.checks_s + LOOKS_TAKE_S:
            left, needed = duration(lock.left_s), duration(plan.checks_s + LOOKS_TAKE_S)
            raise NotAMove(f"Writing is open for {left} only, and {needed} are needed: lock and unlock it again.")
        return plan

    def look_again(self) -> None:
        """Look in all places where the device can be; nothing is written. While a restart is waited for, it is over."""
        plan = self.run.plan
        if plan is None or self._look_refusal():
            return

        def sent() -> None:
            self.run.look_begins()

        self._jobs.start(LookForMoved(plan), sent)

    def stop(self) -> None:
        """Cancel before the write; behind it the stop waits for the look."""
        self._jobs.stop()

    def go_back(self, move: Move) -> bool:
        """Fill the form in for the way back; tell whether there is one."""
        last, before = move.last, move.first.begun.before
        if last.now is None:
            self._tell("It is not known where this device is: search for it with it alone on the line.")
            return False
        if not last.can_go_back:
            self._tell("What its registers held could not be read: the way back has to be typed.")
            return False
        settings = alike(before.settings)
        self._here = last.now
        self._is_own = True
        self.form = MoveForm(
            str(before.server_address), settings.baud_rate, settings.framing, written_words(last.old_writes)
        )
        self._tell("Filled in with what its registers held before. Check each one, then confirm.", Tone.INK2)
        return True

    def _tell(self, words: str, tone: Tone = Tone.DOUBT) -> None:
        self._told, self._told_tone = words, tone

    # What is shown

    @property
    def not_put_back(self) -> tuple[Move, ...]:
        """Devices that are not where they were."""
        return self._visit.not_put_back()

    def rows(self) -> tuple[Row, ...]:
        """Return them for the list of what was changed."""
        return tuple(move_row(one) for one in self.not_put_back)

    def state(self, device: KnownDevice, profile: RegisterProfile, lock: WritingTold) -> MoveState:
        """Return the form."""
        here, form = self._here, self.form
        if here is None:
            return MoveState(
                device="Choose one device: 0 is all devices at once.",
                refusal="choose one device first",
                told=self._told,
            )
        speeds, framings = speeds_for(form.baud_rate), framings_for(form.framing)
        problem, plan = self._planned(here)
        proposal = self._proposal(profile)
        hint = proposal_words(proposal) or f"{TYPED_HINT[0].upper()}{TYPED_HINT[1:]}."
        return MoveState(
            device=f"Device {reach_words(here)}{f', {device.name}' if device.name else ''}.",
            alone=alone_words(plan or _forecast(here)),
            address=form.address,
            speeds=tuple(f"{one} baud" for one in speeds),
            speed=speeds.index(form.baud_rate),
            framings=framings,
            framing=framings.index(form.framing),
            writes=form.writes,
            hint=f"Not by the list: {hint}" if self._is_own and proposal.writes else hint,
            hint_tone=Tone.DOUBT if proposal.missing else Tone.INK2,
            places=places_words(plan.places) if plan is not None else problem,
            cautions=CAUTIONS,
            confirm_words=f"Type {confirmed_by(here, plan.after)} once more" if plan is not None else "Once more",
            button=f"Write, and look for {plan.after.server_address}" if plan is not None else "Write, and look for it",
            refusal=self._refusal(lock, problem),
            told=self._told,
            told_tone=self._told_tone,
            cancel=self._cancel(),
            has_company=bool(self.run.others) or form.may_have_company,
            may_have_company=form.may_have_company,
            clear_confirmation=self._cleared,
        )

    def _planned(self, here: Reach) -> tuple[str, ReaddressPlan | None]:
        try:
            return "", plan_of(self.form, here, FORECAST_REASON, 1.0)
        except NotAMove as problem:
            return str(problem), None

    def _refusal(self, lock: WritingTold, problem: str) -> str:
        if not lock.is_open:
            return LOCKED
        if self.run.is_running:
            return "a device is being moved now"
        return problem

    def _cancel(self) -> str:
        if not self.run.is_running:
            return ""
        if self.run.waits_for_restart:
            return "Stop waiting"
        return "Stop behind the look" if self.run.has_written else "Cancel"

    def outcome(self, now_s: float) -> MoveOutcome:
        """Return how far the last move has come."""
        last = self._visit.moves[-1] if self._visit.moves else None
        waiting = [one for one in self.not_put_back if one.last is last]
        can_go_back = bool(waiting) and waiting[0].last.can_go_back and not self.run.is_running
        words = f"Back to {reach_words(waiting[0].first.begun.before)}…" if can_go_back else ""
        return replace(self.run.outcome(now_s), look_refusal=self._look_refusal(), put_back=words)

    def _look_refusal(self) -> str:
        if self.run.plan is None or not self.run.has_written:
            return NOT_WRITTEN
        if self.run.is_running and not self.run.waits_for_restart:
            return "it is being looked for already"
        return "" if self._jobs.has_port else "no port is open: open one first, Ctrl+O"


def _forecast(here: Reach) -> ReaddressPlan:
    """Return a plan with which to tell what it takes, while what was typed is none."""
    form = replace(form_of(here), address=str(here.server_address % 247 + 1), writes="0=0")
    return plan_of(form, here, FORECAST_REASON, 1.0)


def _nothing() -> None:
    """What begins is told by the stream."""

"""Decides what the view Who is quiet shows: whom to ask, what has changed, where on the cable. No Qt."""

from __future__ import annotations

import csv
import io
from collections.abc import Callable

from buswalk.bus.messages import Kept, StartPresence, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.search.prior import asked_as
from buswalk.domain.visit.session_events import JobStarted, MarkMade, SessionStarted
from buswalk.domain.watching.plan import WatchedDevice, watched
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.ping_tones import PingTone, ToneQueue
from buswalk.ui.pages.find.quiet_board import QuietBoard
from buswalk.ui.pages.find.quiet_state import QuietState
from buswalk.ui.pages.find.quiet_words import (
    HOW,
    answer_rows,
    cable_view,
    change_rows,
    names_state,
    quiet_sound,
    state_sentence,
)
from buswalk.ui.pages.find.search_board import SearchBoard
from buswalk.ui.pages.find.search_run import Phase
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.sounds import Sounds
from buswalk.ui.tones import Tone
from buswalk.ui.wording import counted

WHO_IS_QUIET = "who is quiet"
CSV_NAME = "who is quiet"
CSV_COLUMNS = ("time", "what")
WAIT_S = 0.3
LISTEN_S = 10.0
USUAL_SETTINGS = SerialSettings.of(9600, "8N1")
WORDS = "Ask all in turn"


class QuietPresenter:
    """Takes the stream, gives the state."""

    def __init__(
        self,
        desk: JobDesk,
        board: SearchBoard,
        sounds: Sounds,
        save_csv: Callable[[str, str], str],
        beside: Callable[[], str] = lambda: "",
    ) -> None:
        self._desk = desk
        self._beside = beside
        self._search = board
        self._tones = ToneQueue(sounds)
        self._save_csv = save_csv
        self.board = QuietBoard()
        self._now_s = 0.0
        self._said = ""
        self._state: QuietState | None = None

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item; desk and search board have taken it already."""
        self._state = None
        if not isinstance(item, Kept):
            return
        is_ours = self._desk.running == WHO_IS_QUIET
        match item.event:
            case SessionStarted():
                self.board = QuietBoard()
                self._said = ""
            case JobStarted(name=name) if name == WHO_IS_QUIET:
                self.board.begin()
                self._said = ""
            case ExchangeDone(exchange) if is_ours:
                self.board.exchange(exchange)
            case MarkMade(words=words, at_s=at_s) if is_ours:
                self.board.mark(at_s, words)
            case _ if is_ours:
                self._hear(self.board.take(item.event))
            case _:
                pass

    def _hear(self, kind: OutcomeKind | None) -> None:
        if kind is not None:
            self._tones.ask(PingTone.NO_REPLY if kind is OutcomeKind.NO_REPLY else PingTone.ANSWERED)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s
        self._tones.tick()
        if self._state is not None and self._state.beside != self._beside():
            self._state = None
        if self._desk.running == WHO_IS_QUIET:
            self._state = None

    # What the user does

    def want_sound(self, *, is_wanted: bool) -> None:
        """Let changes be heard, or not."""
        self._tones.is_wanted = is_wanted
        self._state = None

    def main_action(self) -> None:
        """F5."""
        self.act(self.state.main)

    def act(self, action: Action) -> None:
        """Do what a button says."""
        self._state = None
        if action.refusal:
            return
        match action.act:
            case Act.ASK_IN_TURN:
                self._desk.start(StartPresence(self._plan()), _nothing)
            case Act.EXPORT:
                self._said = self._save_csv(CSV_NAME, self._csv())
            case _:
                pass

    def export(self) -> None:
        """Ctrl+E."""
        if self.board.changes:
            self.act(Action(Act.EXPORT, "Export"))

    def _plan(self) -> PresencePlan:
        has_asked = bool(self._search.run.requests_asked or self.board.base is not None)
        return PresencePlan(self.devices(), self._also_at(), 0.0 if has_asked else LISTEN_S)

    def _also_at(self) -> tuple[tuple[int, SerialSettings], ...]:
        """Return found addresses with the setting that is planned, or usual here, where they were found at another."""
        found = self._search.found_in_order()
        planned = {address: one.settings for address, one in self._search.planned.items() if one.settings is not None}
        known = [*(asked_as(one) for one in planned.values()), *(asked_as(one.settings) for one in found)]
        usual = max(known, key=known.count) if known else USUAL_SETTINGS
        pairs = [(one, planned.get(one.server_address, usual)) for one in found]
        return tuple((one.server_address, at) for one, at in pairs if asked_as(at) != asked_as(one.settings))

    def devices(self) -> tuple[WatchedDevice, ...]:
        """Whom to ask: planned ones along the cable, as they were found or are planned; then what else was found."""
        found = {one.server_address: one for one in self._search.found_in_order()}
        at = [one.settings for one in found.values()]
        usual = max(at, key=at.count) if at else USUAL_SETTINGS
        devices = []
        for one in sorted(self._search.planned.values(), key=lambda planned: planned.place):
            if one.server_address not in found:
                settings = one.settings or usual
                devices.append(WatchedDevice(one.server_address, settings, ReadHoldingRegisters(0, 1), WAIT_S))
            else:
                devices.append(watched(found[one.server_address]))
        planned = self._search.planned
        return (*devices, *(watched(one) for address, one in sorted(found.items()) if address not in planned))

    def _csv(self) -> str:
        """Return what changed as CSV, the earliest first (RFC 4180)."""
        out = io.StringIO()
        writer = csv.writer(out)
        writer.writerow(CSV_COLUMNS)
        rows = change_rows(self.board, self._search.planned, self._desk.wall_time)
        writer.writerows([one.time, one.words] for one in reversed(rows) if not one.is_now)
        return out.getvalue()

    # What is shown

    @property
    def is_running(self) -> bool:
        """Whether all are asked in turn now."""
        return self._desk.running == WHO_IS_QUIET

    @property
    def note(self) -> str:
        """Words for the rail."""
        quiet = len(self.board.quiet)
        return f"{counted(quiet)} quiet" if quiet else "none quiet"

    @property
    def state(self) -> QuietState:
        """Everything as shown now."""
        if self._state is None:
            self._state = self._made()
        return self._state

    def _made(self) -> QuietState:
        board, planned, wall = self.board, self._search.planned, self._desk.wall_time
        answering = answer_rows(board, planned)
        return QuietState(
            sentence=self._sentence(),
            sentence_tone=Tone.DOUBT if board.living is not None else Tone.INK2,
            main=self._main(),
            others=(Action(Act.EXPORT, "Export", "Ctrl+E"),) if board.changes else (),
            names=names_state(board, planned, wall, self._now_s),
            changes=change_rows(board, planned, wall),
            answering_title=f"Still answer: {counted(len(answering))}",
            answering=answering,
            cable=cable_view(board, planned),
            how=HOW,
            sound=quiet_sound(is_wanted=self._tones.is_wanted, problem=self._tones.problem),
            beside=self._beside(),
        )

    def _sentence(self) -> str:
        if self._said:
            return f"{self._said[:1].upper()}{self._said[1:].rstrip('.')}."
        if not self._desk.has_port and self._desk.port_gone is None:
            return "No port is open: open one with Ctrl+O."
        return state_sentence(self.board, is_running=self.is_running)

    def _main(self) -> Action:
        desk = self._desk
        refusal = ""
        if desk.is_about_to_start:
            refusal = "The running job is being stopped first."
        elif desk.port_gone is not None:
            refusal = "There is no port: see the band above."
        elif not desk.has_port:
            refusal = "No port is open: open one with Ctrl+O."
        elif self._search.run.phase is Phase.HELD:
            refusal = "Another client is alive: see Search."
        elif not self.devices():
            refusal = "Nobody is known yet: search first, or write the planned list."
        if self.is_running:
            return Action(Act.ASK_IN_TURN, "Base is now", "F5", refusal)
        words = f"Stop the {desk.running}, ask all in turn" if desk.running else WORDS
        return Action(Act.ASK_IN_TURN, words, "" if refusal else "F5", refusal)


def _nothing() -> None:
    """The watch begins with the job's own event."""

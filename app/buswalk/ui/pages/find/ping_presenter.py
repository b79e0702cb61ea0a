"""Decides what the view Ping shows and which commands follow from what the user does. No Qt."""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum

from buswalk.bus.messages import Kept, StartPing, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.exchange import Exchange, NeverSent
from buswalk.domain.modbus.outcome import EchoOnly, ExceptionReply, NoReply
from buswalk.domain.search.ping import PingPlan
from buswalk.domain.search.prior import usual_settings
from buswalk.domain.visit.session_events import JobStarted, MarkMade, SessionStarted
from buswalk.ui.outcome_kinds import kind_of
from buswalk.ui.pages.find.exchange_words import turnaround_range_words
from buswalk.ui.pages.find.found_words import setting_words
from buswalk.ui.pages.find.known import WrongAddresses, typed_addresses
from buswalk.ui.pages.find.ping_history import PingHistory, PingSeen
from buswalk.ui.pages.find.ping_state import AskState, PingState
from buswalk.ui.pages.find.ping_tones import ToneQueue, tone_of_outcome
from buswalk.ui.pages.find.ping_words import (
    STEPS,
    about_words,
    counts_state,
    device_words,
    history_state,
    other_silent,
    ping_sentence,
    result_state,
    sound_state,
    wait_words,
)
from buswalk.ui.pages.find.search_board import SearchBoard
from buswalk.ui.pages.find.search_state import Act, Action, ChoiceState
from buswalk.ui.pages.job_desk import JobDesk
from buswalk.ui.sounds import Sounds
from buswalk.ui.tones import Tone
from buswalk.ui.wording import milliseconds

PING = "ping"
FIRST_ADDRESS = 1
"""Where most devices are as delivered."""
LONGEST_WAIT_S = 2.0
ROOM_FOR_SLOWER = 1.5
"""A device that has taken so long before may take half as long again."""


class Rate(Enum):
    """How often a device is asked, in requests a second of line time, and how long each reply is waited for."""

    TEN = (10.0, 0.060, "10")
    FIVE = (5.0, 0.150, "5")
    ONE = (1.0, 0.300, "1")

    @property
    def a_second(self) -> float:
        """Requests a second."""
        return self.value[0]

    @property
    def wait_s(self) -> float:
        """For the first byte of a reply."""
        return self.value[1]

    @property
    def words(self) -> str:
        """As the choice shows it."""
        return self.value[2]


class PingPresenter:
    """Takes the stream, holds whom the user wants to ask, gives the state."""

    def __init__(
        self, desk: JobDesk, board: SearchBoard, sounds: Sounds, beside: Callable[[], str] = lambda: ""
    ) -> None:
        self._desk = desk
        self._beside = beside
        self._board = board
        self._tones = ToneQueue(sounds)
        self._address = 0
        self._settings: SerialSettings | None = None
        self._rate = Rate.FIVE
        self._history = PingHistory(0.0)
        self._asked_address = 0
        self._now_s = 0.0
        self._typed = ""
        self._problem = ""
        self._state: PingState | None = None

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item; desk and board have taken it already."""
        self._state = None
        if not isinstance(item, Kept):
            return
        match item.event:
            case SessionStarted():
                self._history = PingHistory(0.0)
            case JobStarted(name=name, at_s=at_s) if name == PING:
                self._begin(at_s)
            case ExchangeDone(exchange) if self._desk.running == PING:
                self._exchange(exchange)
            case MarkMade(words=words, at_s=at_s) if self._desk.running == PING:
                self._history.mark(at_s, words)
            case _:
                pass

    def _begin(self, at_s: float) -> None:
        if self._asked_address != self.address or not self._history.asked:
            self._history = PingHistory(at_s)
            self._asked_address = self.address

    def _exchange(self, exchange: Exchange) -> None:
        if exchange.server_address != self._asked_address:
            self._history = PingHistory(self._desk.running_from_s)
            self._asked_address = self._address = exchange.server_address
        outcome, sent = exchange.outcome, exchange.sent
        kind = kind_of(outcome, is_expected=True)
        waited = f"waited {milliseconds(outcome.waited_s)}" if isinstance(outcome, NoReply | EchoOnly) else ""
        self._history.take(
            PingSeen(
                at_s=sent.at_s if isinstance(sent, NeverSent) else sent.begin_s,
                kind=kind,
                exception_code=outcome.exception_code if isinstance(outcome, ExceptionReply) else 0,
                turnaround=turnaround_range_words(exchange),
                waited=waited,
            )
        )
        self._tones.ask(tone_of_outcome(kind))

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = max(line_time_s, self._history.last.at_s if self._history.last is not None else 0.0)
        self._tones.tick()
        if self._state is not None and self._state.ask.beside != self._beside():
            self._state = None
        if self._desk.running == PING:
            self._history.forget(self._now_s)
            self._state = None

    # What the user does

    def show(self, address: int) -> None:
        """Be about this address from now on; a running ping goes on until the user asks for another."""
        self._address = address
        self._settings = None
        self._typed = self._problem = ""
        if address != self._asked_address and self._desk.running != PING:
            self._history = PingHistory(self._now_s)
        self._state = None

    def choose_device(self, index: int) -> None:
        """Choose a device from the list."""
        self.show(self._devices()[index])
        self._restart()

    def type_address(self, text: str) -> None:
        """Take a typed address."""
        self._state = None
        self._typed = text
        try:
            addresses = typed_addresses(text)
        except WrongAddresses as problem:
            self._problem = f"{problem}."
            return
        if len(addresses) > 1:
            self._problem = "One device is asked: write one address."
            return
        self.show(addresses[0])
        self._restart()

    def choose_settings(self, index: int) -> None:
        """Choose a setting from the list."""
        self._settings = self._settings_offered()[index]
        self._state = None
        self._restart()

    def choose_rate(self, index: int) -> None:
        """Choose how often to ask."""
        self._rate = tuple(Rate)[index]
        self._state = None
        self._restart()

    def want_sound(self, *, is_wanted: bool) -> None:
        """Let each exchange be heard, or not."""
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
            case Act.START_PING:
                self._start()
            case Act.PAUSE:
                self._desk.stop()
            case Act.PING:
                self.show(action.address)
                self._restart()
            case _:
                pass

    def _start(self) -> None:
        self._desk.start(StartPing(self._plan()), _nothing)

    def _restart(self) -> None:
        """A ping that runs goes on with what was chosen."""
        if self._desk.running == PING:
            self._start()

    def _plan(self) -> PingPlan:
        found = [one for one in self._board.found_in_order() if one.server_address == self.address]
        function = int(found[0].function) if found and found[0].function == 0x04 else 0x03
        return PingPlan(self.address, self._chosen_settings(), function, 0, self._rate.a_second, self._wait()[0])

    def _wait(self) -> tuple[float, float]:
        """Return how long to wait, and the longest turnaround seen if that is why."""
        span = self._board.turnaround_of(self.address)
        if span is None or span.longest_s < self._rate.wait_s:
            return self._rate.wait_s, 0.0
        return min(LONGEST_WAIT_S, span.longest_s * ROOM_FOR_SLOWER), span.longest_s

    # What is shown

    @property
    def address(self) -> int:
        """Whom it is about: what the user chose, else the first one known."""
        return self._address or self._devices()[0]

    def _devices(self) -> tuple[int, ...]:
        """Planned but silent ones first: they are whom one pings."""
        silent = self._board.planned_silent()
        known = sorted({*self._board.planned, *(address for address, _ in self._board.run.found)} - {*silent})
        chosen = (self._address,) if self._address and self._address not in (*silent, *known) else ()
        return (*silent, *known, *chosen) or (FIRST_ADDRESS,)

    def _settings_offered(self) -> tuple[SerialSettings, ...]:
        """The setting at which it was found or is planned first, then the usual ones."""
        found = [one.settings for one in self._board.found_in_order() if one.server_address == self.address]
        planned = self._board.planned.get(self.address)
        own = found or ([planned.settings] if planned is not None and planned.settings is not None else [])
        offered = [*own, *([self._settings] if self._settings is not None else []), *usual_settings()]
        named: dict[str, SerialSettings] = {}
        for one in offered:
            named.setdefault(setting_words(one), one)
        return tuple(named.values())

    def _chosen_settings(self) -> SerialSettings:
        return self._settings if self._settings is not None else self._settings_offered()[0]

    @property
    def is_running(self) -> bool:
        """Whether a ping runs."""
        return self._desk.running == PING

    @property
    def state(self) -> PingState:
        """Everything as shown now."""
        if self._state is None:
            self._state = self._made()
        return self._state

    def _made(self) -> PingState:
        address, history, wall = self.address, self._history, self._desk.wall_time
        planned = self._board.planned.get(address)
        is_found = any(one == address for one, _ in self._board.run.found)
        settings = self._chosen_settings()
        about = about_words(settings, planned, is_found=is_found)
        sentence = self._problem or self._sentence()
        return PingState(
            sentence=sentence,
            sentence_tone=Tone.DOUBT if self._problem else Tone.INK2,
            main=self._main(),
            others=self._others(),
            result=result_state(address, about, planned, history, wall, self._now_s),
            history=history_state(history, self._rate.a_second, self._now_s),
            counts=counts_state(history, wall),
            ask=self._ask_state(settings),
            sound=sound_state(is_wanted=self._tones.is_wanted, problem=self._tones.problem),
            steps_title="While it asks",
            steps=STEPS,
        )

    def _sentence(self) -> str:
        if not self._desk.has_port and self._desk.port_gone is None:
            return "No port is open: open one with Ctrl+O."
        return ping_sentence(self.address, self._history, is_running=self.is_running)

    def _ask_state(self, settings: SerialSettings) -> AskState:
        devices, offered = self._devices(), self._settings_offered()
        names = tuple(device_words(one, self._board.planned.get(one)) for one in devices)
        at = devices.index(self.address) if self.address in devices else 0
        words = tuple(setting_words(one) for one in offered)
        rates = tuple(Rate)
        return AskState(
            devices=ChoiceState("Device", names, at),
            settings=ChoiceState("Setting", words, words.index(setting_words(settings))),
            rates=ChoiceState("Times a second", tuple(one.words for one in rates), rates.index(self._rate)),
            typed=self._typed,
            problem=self._problem,
            wait=wait_words(*self._wait()),
            beside=self._beside(),
        )

    def _main(self) -> Action:
        desk = self._desk
        if desk.is_about_to_start:
            return Action(
                Act.START_PING, f"Ping {self.address}", "F5", refusal="The running job is being stopped first."
            )
        if desk.running == PING:
            return Action(Act.PAUSE, "Pause", "F5")
        if desk.port_gone is not None:
            return Action(Act.START_PING, f"Ping {self.address}", refusal="There is no port: see the band above.")
        if not desk.has_port:
            return Action(Act.START_PING, f"Ping {self.address}", refusal="No port is open: open one with Ctrl+O.")
        if desk.running:
            words = f"Pause the {desk.running}, ping {self.address}"
            return Action(Act.START_PING, words, "F5")
        words = "Continue" if self._history.asked else f"Ping {self.address}"
        return Action(Act.START_PING, words, "F5")

    def _others(self) -> tuple[Action, ...]:
        other = other_silent(self._board.planned_silent(), self.address)
        return (Action(Act.PING, f"Next silent one: {other}", address=other),) if other else ()


def _nothing() -> None:
    """The history begins with the job's own event."""

"""The line watch from the page: whom it asks, how often, whether it runs, who is in its way. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from buswalk.bus.messages import Kept, StartWatch, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.readdressing.found_moved import all_moved
from buswalk.domain.search.events import Found, LivingLine
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.statistics.limits import clean_trials_needed
from buswalk.domain.visit.session_events import JobEnded, JobStarted, PlanKept, PortClosed, PortOpened, SessionStarted
from buswalk.domain.watching.events import DeviceAbsent, DeviceBack
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan, watched
from buswalk.domain.watching.waits import Waits, wait_for_s
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.faults.faults_state import FigureLine, FilterChoice, MainAction, WatchState
from buswalk.ui.pages.faults.quality_words import long_duration
from buswalk.ui.pages.faults.seen_turnarounds import SeenTurnarounds
from buswalk.ui.pages.faults.wait_words import wait_line
from buswalk.ui.timer_desk import TimerDesk
from buswalk.ui.tones import Tone
from buswalk.ui.wording import address_list, counted, milliseconds, plural, seconds_words

WATCH = "watch"
PERIODS = {"as often as it goes": 0.0, "1 s": 1.0, "5 s": 5.0, "10 s": 10.0, "1 min": 60.0, "10 min": 600.0}
SHARES = {
    "the whole line": 1.0,
    "half of the line": 0.5,
    "a quarter of it": 0.25,
    "a tenth of it": 0.1,
    "2 % of it": 0.02,
}
BY_TURNAROUND = "as long as each needs"
WAITS = {
    BY_TURNAROUND: 0.0,
    **{milliseconds(one): one for one in (0.1, 0.2, 0.25, 0.3, 0.5, 0.7, 1.0, 1.5, 2.0, 3.0, 5.0)},
}
"""By turnaround, or the wait of another client, such as the plant's."""
USUAL_PERIOD = 1
EXCHANGE_S = 0.06
"""A short read with a usual turnaround at 9600 baud, and the gaps around it: for a first guess only."""
LISTEN_S = 10.0


class Consent(Enum):
    """How far the user has gone where another client is alive."""

    NOT_ASKED = "not asked"
    ASKED = "asked"
    """The question stands in the band."""


@dataclass(frozen=True, slots=True)
class WatchForm:
    """What is chosen, by its place in each list."""

    period: int = USUAL_PERIOD
    share: int = 0
    wait: int = 0

    @property
    def period_s(self) -> float:
        """How often each device is asked at most."""
        return list(PERIODS.values())[self.period]

    @property
    def share_of_line(self) -> float:
        """How much of the line's time it may take."""
        return list(SHARES.values())[self.share]

    @property
    def told_wait_s(self) -> float:
        """How long each reply is waited for; 0 for as long as each device needs."""
        return list(WAITS.values())[self.wait]


class WatchDesk:
    """Follows the stream; starts and pauses the job."""

    def __init__(self, commands: Commands, timers: TimerDesk) -> None:
        self._commands = commands
        self._timers = timers
        self._timers_told = timers.version
        self._form = WatchForm()
        self._running = self._form
        self._seen = SeenTurnarounds()
        self._found: dict[tuple[int, SerialSettings], Found] = {}
        self._planned: tuple[PlannedDevice, ...] = ()
        self._absent: set[int] = set()
        self._job = ""
        self._has_port = False
        self._was_paused = False
        self._living: LivingLine | None = None
        self._consent = Consent.NOT_ASKED

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        if not isinstance(item, Kept):
            return
        self._seen.take(item.event)
        match item.event:
            case SessionStarted():
                self._seen.forget()
                self._found.clear()
                self._absent.clear()
                self._living, self._was_paused = None, False
            case PortOpened():
                self._has_port = True
            case PortClosed():
                self._has_port = False
            case Found(server_address=address, settings=settings) as found:
                self._found[address, settings] = found
            case PlacesLooked() as looked:
                now = all_moved(self._found.values(), looked)
                self._found = {(one.server_address, one.settings): one for one in now}
            case PlanKept(devices):
                self._planned = devices
            case _:
                self._take_job(item.event)

    def _take_job(self, event: object) -> None:
        match event:
            case JobStarted(name=name):
                self._job = name
                self._absent.clear()
                if name == WATCH:
                    self._living, self._consent = None, Consent.NOT_ASKED
            case JobEnded(name=name):
                self._was_paused = name == WATCH and self._living is None
                self._job = ""
            case LivingLine() as living if self._job == WATCH:
                self._living = living
            case DeviceAbsent(server_address=address):
                self._absent.add(address)
            case DeviceBack(server_address=address):
                self._absent.discard(address)
            case _:
                pass

    # What the user does

    def choose_period(self, index: int) -> None:
        """How often each device is asked at most."""
        self._form = replace(self._form, period=index)

    def choose_share(self, index: int) -> None:
        """How much of the line's time it may take."""
        self._form = replace(self._form, share=index)

    def choose_wait(self, index: int) -> None:
        """How long a reply is waited for."""
        self._form = replace(self._form, wait=index)

    def main(self) -> None:
        """Start, pause or go on."""
        if self._living is not None and self._consent is Consent.ASKED:
            self.leave_living()
        elif self.is_watching:
            self._commands.stop()
        elif not self.action().refusal:
            self._start(self._plan())

    def pressed(self, name: str) -> None:
        """A button of the band."""
        match name:
            case "ask":
                self._consent = Consent.ASKED
            case "sure" if self._living is not None and not self._job:
                self._living = None
                self._start(replace(self._plan(), may_ask_living_line=True))
            case _:
                self.leave_living()

    def leave_living(self) -> None:
        """Do not ask while another client is alive."""
        self._living, self._consent = None, Consent.NOT_ASKED

    def _start(self, plan: WatchPlan) -> None:
        self._running = self._form
        self._commands.send(StartWatch(plan))

    # What is shown

    @property
    def is_watching(self) -> bool:
        """Whether the watch runs."""
        return self._job == WATCH

    @property
    def expected(self) -> frozenset[int]:
        """Addresses of planned and found devices."""
        return frozenset(address for address, _ in self._found) | {one.server_address for one in self._planned}

    def names(self) -> dict[int, str]:
        """Return what the plan calls each address."""
        return {one.server_address: one.name for one in self._planned}

    def action(self) -> MainAction:
        """Return what F5 does."""
        if self.is_watching:
            return MainAction("Pause")
        if self._living is not None and self._consent is Consent.ASKED:
            return MainAction("Leave it")
        words = "Continue" if self._was_paused else "Watch"
        if not self._has_port:
            return MainAction(words, "no port is open: open one with Ctrl+O")
        if self._job:
            return MainAction(words, f"a job is running ({self._job}): stop it first with Esc")
        if not self._devices():
            return MainAction(words, "nothing is found or planned to be asked: search first, Ctrl+2")
        return MainAction(words)

    def band(self) -> BandState | None:
        """Return what stands in the way."""
        if self._living is None:
            return None
        headline = "Another client is alive on this line: nothing was asked"
        if self._consent is Consent.ASKED:
            return BandState(
                Tone.FOREIGN,
                "Ask although another client is alive?",
                f"Its exchanges and ours may meet and both be damaged. {self._timer_words()} Only if the people here "
                "know, and missed answers are fine. The choice is kept in the record.",
                (BandAction("leave", "Leave it", "F5"), BandAction("sure", "They know: watch in its pauses")),
            )
        return BandState(
            Tone.FOREIGN,
            headline,
            f"{self._living.sentence[:1].upper()}{self._living.sentence[1:]}. {self._timer_words()} What it asks is "
            "counted by listening, on the page Line.",
            (BandAction("leave", "Leave it"), BandAction("ask", "Watch all the same…")),
        )

    def knows_other_timers(self) -> bool:
        """Tell whether more is known of loss timers since this was asked last: what is said may be another."""
        told, self._timers_told = self._timers_told, self._timers.version
        return told != self._timers_told

    def _timer_words(self) -> str:
        return self._timers.held_up_words()

    def state(self) -> WatchState:
        """Return the form and what it means."""
        devices = self._devices()
        addresses = [one.server_address for one in devices]
        words = f"{plural(len(set(addresses)), 'device')}: {address_list(addresses)}" if devices else "nobody yet"
        return WatchState(
            words,
            FilterChoice("Each device every", tuple(PERIODS), self._form.period),
            FilterChoice("Takes at most", tuple(SHARES), self._form.share),
            FilterChoice("Waits for a reply", tuple(WAITS), self._form.wait),
            tuple(self._lines(devices)),
        )

    def _lines(self, devices: tuple[WatchedDevice, ...]) -> list[FigureLine]:
        if not devices:
            return [FigureLine("First", "search on page 2, or bring in a planned list on page 8")]
        round_s = self.round_s()
        lines = [
            *self._changed_lines(),
            wait_line(devices, self._seen, self._form.told_wait_s),
            FigureLine("Asks", "one register of each, which a found device has answered; reads only"),
            FigureLine("A round takes", f"about {seconds_words(round(round_s, 1))}"),
            FigureLine("To show below 1 %", f"299 clean requests each, about {long_duration(299 * round_s)}"),
            FigureLine("To show below 0.1 %", f"{counted(2995)} each, about {long_duration(2995 * round_s)}"),
        ]
        if self._absent:
            lines.append(FigureLine("Absent now", f"{address_list(sorted(self._absent))}; asked every 15 s"))
        return lines

    def _changed_lines(self) -> list[FigureLine]:
        if not self.is_watching or self._form == self._running:
            return []
        return [FigureLine("Changed", "holds from the next start: F5 pauses, F5 again goes on", Tone.DOUBT)]

    def round_s(self) -> float:
        """Return about how long it takes until each device was asked once."""
        busy_s = len(self._devices()) * EXCHANGE_S / self._form.share_of_line
        return max(busy_s, self._form.period_s)

    def empty_fact(self) -> str:
        """Return what an empty page says of time and requests."""
        needed = clean_trials_needed(0.01)
        devices = self._devices()
        if not devices:
            return (
                f"{needed} clean requests show that a device fails in less than 1 % of exchanges, with 95 % certainty."
            )
        return (
            f"{needed} clean requests show a share below 1 % (95 %): about {long_duration(needed * self.round_s())} "
            f"for {plural(len({one.server_address for one in devices}), 'device')} at this pace."
        )

    def _plan(self) -> WatchPlan:
        return WatchPlan(
            self._devices(),
            period_s=self._form.period_s,
            share=self._form.share_of_line,
            listen_s=0.0 if self._was_paused else LISTEN_S,
        )

    def _devices(self) -> tuple[WatchedDevice, ...]:
        """Found devices as they answered; planned ones that were not found as the plan has them."""
        devices = {one.server_address: watched(one, self._seen.longest_s(place)) for place, one in self._found.items()}
        for one in self._planned:
            if one.server_address not in devices and one.settings is not None:
                wait_s = wait_for_s(self._seen.longest_s((one.server_address, one.settings)))
                devices[one.server_address] = WatchedDevice(
                    one.server_address,
                    one.settings,
                    ReadHoldingRegisters(0, 1),
                    wait_s,
                    waits=Waits.BY_TURNAROUND,
                )
        return tuple(self._waited_for(devices[one]) for one in sorted(devices))

    def _waited_for(self, device: WatchedDevice) -> WatchedDevice:
        told_s = self._form.told_wait_s
        return replace(device, wait_s=told_s, waits=Waits.AS_TOLD) if told_s else device

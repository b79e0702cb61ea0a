"""Decides what the page Registers shows: device, list, values, every reading, the write box; knows no Qt."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Kept, StreamItem, WritingTold
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS
from buswalk.domain.registers.notations import Notation
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import Block, RegisterProfile
from buswalk.domain.registers.samples import PointsWatched, Quality
from buswalk.domain.watching.plan import WatchedDevice
from buswalk.domain.watching.waits import wait_for_s
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.page import RailNote
from buswalk.ui.pages.registers.known_devices import KnownDevice, KnownDevices
from buswalk.ui.pages.registers.point_board import PointBoard
from buswalk.ui.pages.registers.point_pane import PointPane
from buswalk.ui.pages.registers.read_plans import PERIODS_S, KnownCost, readable_names, watched_device
from buswalk.ui.pages.registers.reading_desk import ReadingDesk
from buswalk.ui.pages.registers.reading_rows import readings_of
from buswalk.ui.pages.registers.registers_state import Chooser, ReadingsState, RegistersFace, RegistersState
from buswalk.ui.pages.registers.shown_list import MOST_RAW, SHIFTS, TABLES, RawPlan, ShownList
from buswalk.ui.pages.registers.state_words import Counts, main_words, no_device_words, sentence_of
from buswalk.ui.pages.registers.ways import RegistersWays
from buswalk.ui.pages.registers.workbench import BenchHooks, Workbench
from buswalk.ui.pages.registers.write_desk import WriteDesk, WriteTarget
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural, seconds_words

AGES_EVERY_S = 0.5
LEAST_WRITE_WAIT_S = 1.0
"""A device that stores may need longer than for a reading (common practice, no source)."""
PERIOD_WORDS = ("once", *(f"every {seconds_words(one)}" for one in PERIODS_S[1:]))


class RegistersPresenter:
    """Holds the state; values come from the stream, whether the page is shown or not."""

    def __init__(self, commands: Commands, ways: RegistersWays) -> None:
        self._ways = ways
        self.devices = KnownDevices()
        self.board = PointBoard()
        self.pane = PointPane(self.board)
        self.desk = WriteDesk(commands)
        self.reading = ReadingDesk(commands, self.devices)
        self.list = ShownList()
        shows = self._shift_by, self._show_raw, self._forget_list_of
        hooks = BenchHooks(self._read_all, self._focused, self._now, self._changed, *shows)
        self.bench = Workbench(self.list, self.reading, ways, hooks)
        self._face = RegistersFace.VALUES
        self._is_open = False
        self._period = 0
        self._asked_to_clear = ""
        self._cost = KnownCost()
        self._now_s = self._drawn_s = 0.0
        self._told = ""
        self._state: RegistersState | None = None

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self.reading.take(item)
        match item:
            case WritingTold():
                self.desk.take_lock(item)
            case Kept(event=event):
                self._take_event(event)
            case _:
                return
        self._state = None

    def _take_event(self, event: object) -> None:
        self.board.take(event)
        self.desk.take(event)
        self.bench.take(event)
        if isinstance(event, PointsWatched):
            self.list.use_profile(event.server_address, event.profile)
        if self.devices.take(event):
            self._keep_device()

    def _keep_device(self) -> None:
        """The list of devices has changed: the one shown stays, else the first."""
        shown = self.list.device
        at = self.devices.at(shown.server_address) if shown is not None else None
        first = self.devices.all[0] if self.devices.all else None
        self.list.choose_device(at or first)

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now; ages and what is waited for move twice a second."""
        self._now_s = line_time_s
        if abs(line_time_s - self._drawn_s) >= AGES_EVERY_S:
            self._state = None

    # What the user does

    def open(self) -> None:
        """The page is shown: profiles are read now, not while the window opens."""
        if not self._is_open:
            self._is_open = True
            self.read_library()

    def read_library(self) -> None:
        """Read the profiles anew."""
        self.list.use_library(self._ways.library())
        self._changed()

    def show_device(self, server_address: int) -> None:
        """Show the registers of an address, if it is known."""
        device = self.devices.at(server_address)
        if device is not None:
            self.list.choose_device(device)
            self.desk.forget_confirmation()
        self._changed()

    def choose_device(self, index: int) -> None:
        """Show another device."""
        if 0 <= index < len(self.devices.all):
            self.show_device(self.devices.all[index].server_address)

    def choose_profile(self, index: int) -> None:
        """Take another profile for the device."""
        self._list_changes()
        self.list.choose_profile(index)

    def choose_period(self, index: int) -> None:
        """Read once, or again and again; what runs already is begun anew."""
        self._period = index
        if self.list.device is not None and self.reading.reads(self.list.device.server_address):
            self._start(readable_names(self.list.profile()))
        self._changed()

    def shift(self, index: int) -> None:
        """Move the whole list by one register, or back."""
        self._list_changes()
        if self.list.device is not None:
            self.list.shift(SHIFTS[index], self.list.device.server_address)

    def choose_raw(self, table: int, notation: int, first: str, quantity: str) -> None:
        """Take which raw addresses are read."""
        self._list_changes()
        self.list.raw = RawPlan(TABLES[table], list(Notation)[notation], first, quantity)

    def _list_changes(self) -> None:
        """Another list is about to be shown: what is read under the old one is no longer of use."""
        device = self.list.device
        if device is not None:
            self._forget_list_of(device.server_address)

    def _forget_list_of(self, server_address: int) -> None:
        if self.reading.reads(server_address):
            self.reading.stop()
        self.board.forget(server_address)
        self.desk.forget_confirmation()
        self._changed()

    def choose_row(self, row: int) -> None:
        """Focus a point."""
        device = self.list.device
        if device is not None and self.pane.choose(device.server_address, row):
            self._asked_to_clear = ""
            self.desk.forget_confirmation()
            self._changed()

    def show_face(self, index: int) -> None:
        """Show another view; that stops nothing."""
        faces = list(RegistersFace)
        self._face = faces[index % len(faces)]
        self._changed()

    def next_face(self) -> None:
        """Ctrl+T."""
        self.show_face(list(RegistersFace).index(self._face) + 1)

    def _focused(self) -> Point | None:
        return self.pane.point(self.list.device)

    def _now(self) -> float:
        return self._now_s

    def _show_raw(self, span: Block) -> None:
        quantity = min(span.quantity, MOST_RAW)
        self.choose_profile(len(self.list.library.profiles))
        self.list.raw = RawPlan(span.table, Notation.REGISTER_ADDRESS, str(span.first), str(quantity))
        self.show_face(0)

    def _shift_by(self, registers: int) -> None:
        if registers in SHIFTS:
            self.shift(SHIFTS.index(registers))

    def _read_all(self) -> str:
        """Read all that is listed once, for a look; return why not."""
        refusal = self._main_refusal()
        device = self.list.device
        if not refusal and device is not None:
            watched = self._watched(device, readable_names(self.list.profile()))
            self.reading.start(watched, 0.0, self.list.library)
        return refusal

    def main_action(self) -> None:
        """F5: read, pause, or read beside another client when that is the question."""
        device = self.list.device
        self._told = ""
        if self.reading.living_line:
            self.reading.start_beside()
        elif self.reading.is_watching and device is not None and self.reading.reads(device.server_address):
            self.reading.stop()
        elif device is None:
            self._ways.search()
        elif not self._main_refusal():
            self._start(readable_names(self.list.profile()))
        self._changed()

    def read_point(self) -> None:
        """Enter: read the focused point alone, once; what reading clears only when that was said twice."""
        point, device = self.pane.point(self.list.device), self.list.device
        if point is None or device is None or device.server_address == BROADCAST_ADDRESS or not point.can_be_read:
            return
        if self.reading.jobs.running:
            self._told = "A job is running: what is read now is read by it. Pause it first to read one point."
        elif point.clears_on_read and self._asked_to_clear != point.name:
            self._asked_to_clear = point.name
            self._told = f"Reading clears {point.words or point.name}: Enter once more reads it."
        else:
            self._told = self._asked_to_clear = ""
            self.reading.start(self._watched(device, (point.name,)), 0.0, self.list.library)
        self._changed()

    def _start(self, names: tuple[str, ...]) -> None:
        device = self.list.device
        if device is None or not names:
            return
        period_s = PERIODS_S[self._period]
        self.reading.start(self._watched(device, names), period_s, self.list.library)

    def _watched(self, device: KnownDevice, names: tuple[str, ...]) -> WatchedDevice:
        longest_s = self.reading.longest_turnaround_s(device.server_address)
        return watched_device(device, self.list.profile(), names, longest_s)

    def leave_question(self) -> bool:
        """Esc: nothing is unlocked, nothing is asked beside another client; tell whether there was a question."""
        had_question = self.desk.leave_question() or self.reading.leave_alone() or self.bench.leave_list()
        self._changed()
        return had_question

    def toggle_lock(self) -> None:
        """Ctrl+U."""
        self.desk.toggle_lock()
        self._changed()

    def unlock(self, reason: str) -> None:
        """Open writing for a reason."""
        self.desk.unlock(reason)
        self._changed()

    def confirm(self, *, is_confirmed: bool) -> None:
        """Take the second confirmation."""
        self.desk.confirm(is_confirmed=is_confirmed)
        self._changed()

    def write(self, text: str) -> None:
        """Write one value to the focused point, and read it back."""
        target = self._target()
        if target is not None:
            self.desk.write(target, text)
        self._changed()

    def put_back(self) -> None:
        """Put the focused point back."""
        target = self._target()
        if target is not None:
            self.desk.put_back(target)
        self._changed()

    def put_back_row(self, row: int) -> None:
        """Put back a row of what was changed."""
        self.desk.put_back_row(row)
        self._changed()

    def to_trend(self) -> None:
        """Show what is watched over time."""
        self._ways.to_trend()

    def to_switches(self) -> None:
        """F7."""
        if self.list.device is not None:
            self._ways.to_switches(self.list.device.server_address)

    def to_device(self) -> None:
        """F4: back to where one came from."""
        if self.list.device is not None:
            self._ways.to_device(self.list.device.server_address)

    # What is shown

    @property
    def has_question(self) -> bool:
        """Whether Esc leaves a question."""
        return self.desk.is_asking or bool(self.reading.living_line) or self._shows_brought()

    def _shows_brought(self) -> bool:
        return self._face is RegistersFace.DESCRIBE and self.bench.lists.is_open

    @property
    def note(self) -> RailNote:
        """How many places were changed and not put back."""
        count = self.desk.not_put_back
        return RailNote(f"{count} not put back" if count else "")

    @property
    def state(self) -> RegistersState:
        """The page as it is now."""
        if self._state is None:
            self._drawn_s = self._now_s
            self._state = self._make_state()
        return self._state

    def _changed(self) -> None:
        self._state = None

    def _make_state(self) -> RegistersState:
        device = self.list.device
        if device is None:
            return RegistersState(sentence=no_device_words(has_port=self.reading.jobs.has_port))
        profile = self.list.profile()
        points = self.pane.rows(device.server_address, profile, self._now_s)
        sentence, tone = self._sentence(profile)
        point = self.pane.point(self.list.device)
        readings = ReadingsState("Every reading", aside="choose a point in the table")
        if point is not None:
            readings = readings_of(device.server_address, point, self.board, self._now_s)
            if self.list.is_raw:
                readings = replace(readings, below=readings.below[-1:])
        return RegistersState(
            is_empty=False,
            sentence=sentence,
            sentence_tone=tone,
            devices=self.devices.chooser(device.server_address),
            profiles=self.list.chooser(),
            periods=Chooser(PERIOD_WORDS, self._period),
            shift=SHIFTS.index(self.list.shift_now),
            raw=self.list.raw_state(),
            points=points,
            readings=readings,
            write=self.desk.state(self._target(), self._now_s),
            main_words=main_words(self.reading, device.server_address, is_once=self._period == 0),
            main_refusal=self._main_refusal(),
            question=self.reading.living_line,
            face=self._face,
            finder=self.bench.finder.state(device.server_address, point),
            learn=self.bench.map.state(device),
            describe=self.bench.describe_state(None if self.list.is_raw else point),
            brought=self.bench.lists.state(),
        )

    def _target(self) -> WriteTarget | None:
        device, point = self.list.device, self.pane.point(self.list.device)
        if device is None or point is None:
            return None
        story = self.board.story(device.server_address, point.name)
        told = story is not None and story.last.sample.quality not in (Quality.NO_REPLY, Quality.REFUSED)
        words = story.words if story is not None and told else ()
        gap_s = self.list.profile().rules.minimum_gap_s
        wait_s = max(LEAST_WRITE_WAIT_S, wait_for_s(self.reading.longest_turnaround_s(device.server_address)))
        return WriteTarget(device.server_address, device.settings, point, self.list.is_raw, words, gap_s, wait_s)

    def _main_refusal(self) -> str:
        device = self.list.device
        if device is None:
            return "no device is known: search the line first"
        if device.server_address == BROADCAST_ADDRESS:
            return "address 0 is never read: all devices would answer at once"
        if self.reading.jobs.running and not self.reading.is_watching:
            return f"a job is running ({self.reading.jobs.running}): stop it first, Esc"
        if not self.reading.jobs.has_port:
            return "no port is open: open one first, Ctrl+O"
        if not readable_names(self.list.profile()):
            return "the list has no point that can be read"
        return ""

    def _sentence(self, profile: RegisterProfile) -> tuple[str, Tone]:
        device = self.list.device
        assert device is not None
        if self._told:
            return self._told, Tone.DOUBT
        if self.reading.problem:
            return f"{self.reading.problem[0].upper()}{self.reading.problem[1:]}.", Tone.DOUBT
        if self.reading.is_listening and self.reading.reads(device.server_address):
            return self.reading.listening_words(self._now_s), Tone.INK2
        counts = Counts.of(profile, lambda name: self.board.story(device.server_address, name))
        words = sentence_of(counts, device.settings)
        traits = self.reading.traits
        if traits is not None and readable_names(profile):
            cost = self._cost.of(device, profile, traits)
            words += f" One read is {plural(cost.requests, 'request')}, {cost.seconds:.2f} s."
        if self.list.library.problems:
            words += f" {plural(len(self.list.library.problems), 'profile')} cannot be read."
        return words, Tone.INK2

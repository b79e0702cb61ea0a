"""Takes the stream and what the user does on the page Registers, and hands each to its desk; knows no Qt."""

from __future__ import annotations

from buswalk.bus.messages import Kept, Refused, StreamItem
from buswalk.bus.write_messages import EarlierWritesTold, WritingTold
from buswalk.domain.readdressing.events import PlacesLooked
from buswalk.domain.readdressing.found_moved import moved
from buswalk.domain.readdressing.visit_moves import Move
from buswalk.domain.registers.notations import Notation
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.samples import PointsWatched
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.page import RailNote
from buswalk.ui.pages.registers.frame_form import FrameForm
from buswalk.ui.pages.registers.known_devices import KnownDevices
from buswalk.ui.pages.registers.move_state import MoveTyped
from buswalk.ui.pages.registers.other_writes import OtherWrites
from buswalk.ui.pages.registers.page_picture import Desks, PagePicture
from buswalk.ui.pages.registers.point_board import PointBoard
from buswalk.ui.pages.registers.point_pane import PointPane
from buswalk.ui.pages.registers.point_reader import PointReader
from buswalk.ui.pages.registers.reading_desk import ReadingDesk
from buswalk.ui.pages.registers.registers_state import RegistersFace, RegistersState
from buswalk.ui.pages.registers.shown_list import MOST_RAW, SHIFTS, TABLES, RawPlan, ShownList
from buswalk.ui.pages.registers.ways import RegistersWays
from buswalk.ui.pages.registers.workbench import BenchHooks, Workbench
from buswalk.ui.pages.registers.write_desk import WriteDesk

AGES_EVERY_S = 0.5


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
        self._reader = PointReader(self.list, self.pane, self.reading, ways.search)
        shows = self._shift_by, self._show_raw, self._forget_list_of
        hooks = BenchHooks(self._reader.read_all_once, self._focused, self._now, self._changed, *shows)
        self.bench = Workbench(self.list, self.reading, ways, hooks)
        self.other = OtherWrites(commands, self.desk, self.reading, self.devices, self.list)
        desks = self.devices, self.list, self.board, self.pane, self.reading, self._reader, self.desk, self.bench
        self._timers, self._timers_told = ways.timers, ways.timers.version
        self._picture = PagePicture(Desks(*desks, ways.timers, self.other))
        self._face = RegistersFace.VALUES
        self._is_open = False
        self._now_s = self._drawn_s = 0.0
        self._state: RegistersState | None = None

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self.reading.take(item)
        self.other.take(item)
        match item:
            case WritingTold():
                self.desk.take_lock(item)
            case EarlierWritesTold(earlier):
                self.desk.take_earlier(earlier)
                self.devices.tell_written(earlier.writes.not_put_back())
                self._keep_device()
            case Kept(event=event):
                self._take_event(event)
            case Refused():
                pass
            case _:
                return
        self._state = None

    def _take_event(self, event: object) -> None:
        self.board.take(event)
        self.desk.take(event)
        self.bench.take(event)
        if isinstance(event, PointsWatched):
            self.list.use_profile(event.server_address, event.profile)
        if isinstance(event, PlacesLooked):
            self._follow(event)
        elif self.devices.take(event):
            self._keep_device()

    def _follow(self, looked: PlacesLooked) -> None:
        """A device that was moved stays the one that is shown, by the list that it had."""
        shown = self.list.device
        before = shown.found if shown is not None else None
        self.devices.take(looked)
        if before is not None:
            now = self.devices.at(moved(before, looked).server_address)
            if now is not None and now != shown:
                self.list.follow(before.server_address, now)
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
        self.desk.tick(line_time_s)
        told, self._timers_told = self._timers_told, self._timers.version
        if abs(line_time_s - self._drawn_s) >= AGES_EVERY_S or told != self._timers_told:
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
        self._reader.choose_period(index)
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
            self._reader.focus_moves()
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

    def main_action(self) -> None:
        """F5: read, pause, or read beside another client when that is the question; for a moved device, look again."""
        if self._face is RegistersFace.MOVE:
            self.other.moves.look_again()
        else:
            self._reader.main_action()
        self._changed()

    def read_point(self) -> None:
        """Enter: read the focused point alone, once; what reading clears only when that was said twice."""
        self._reader.read_point()
        self._changed()

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

    def confirm(self) -> None:
        """Take the second confirmation."""
        self.desk.confirm()
        self._changed()

    def write(self, text: str) -> None:
        """Write one value to the focused point, and read it back."""
        target = self._picture.target()
        if target is not None:
            self.desk.write(target, text)
        self._changed()

    def put_back(self) -> None:
        """Put the focused point back."""
        target = self._picture.target()
        if target is not None:
            self.desk.put_back(target)
        self._changed()

    def put_back_row(self, row: int) -> None:
        """Put back a row of what was changed; a moved device goes back by the guided job."""
        move = self.other.listed_move(row)
        if move is not None:
            self.go_back(move)
        else:
            self.desk.put_back_row(row)
        self._changed()

    def go_back(self, move: Move) -> None:
        """Show the guided job, filled in for the way back of a device."""
        self.show_face(list(RegistersFace).index(RegistersFace.MOVE))
        if move.last.now is not None:
            self.show_device(move.last.now.server_address)
        self.other.show_device()
        self.other.moves.go_back(move)
        self._changed()

    def go_back_last(self) -> None:
        """The same for the device that was moved last."""
        left = self.other.moves.not_put_back
        if left:
            self.go_back(max(left, key=lambda one: (one.last.session, one.last.begun.at_s)))

    def change_move(self, typed: MoveTyped) -> None:
        """Take what was typed for a move."""
        self.other.change_move(typed)
        self._changed()

    def move(self) -> None:
        """Begin the guided job."""
        self.other.move()
        self._changed()

    def change_frame(self, form: FrameForm) -> None:
        """Take what was typed as bytes."""
        self.other.frames.change(form)
        self._changed()

    def confirm_frame(self, *, is_confirmed: bool) -> None:
        """Take the second confirmation for bytes."""
        self.other.frames.confirm(is_confirmed=is_confirmed)
        self._changed()

    def send_frame(self) -> None:
        """Send the bytes once."""
        self.other.send()
        self._changed()

    def choose_sent(self, row: int) -> None:
        """Show another exchange of those that were sent."""
        self.other.frames.choose(row)
        self._changed()

    def type_again(self, row: int) -> None:
        """Type what was sent once more."""
        self.other.frames.type_again(row)
        self._changed()

    def show_move(self, server_address: int = 0) -> None:
        """Show the guided job that moves a device; 0 leaves the choice."""
        if server_address:
            self.show_device(server_address)
        self.show_face(list(RegistersFace).index(RegistersFace.MOVE))

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
        return (
            self.desk.is_asking or self.desk.is_asking_again or bool(self.reading.living_line) or self._shows_brought()
        )

    def _shows_brought(self) -> bool:
        return self._face is RegistersFace.DESCRIBE and self.bench.lists.is_open

    @property
    def note(self) -> RailNote:
        """How many places and devices were changed and not put back."""
        count = self.desk.not_put_back + len(self.other.moves.not_put_back)
        return RailNote(f"{count} not put back" if count else "")

    @property
    def state(self) -> RegistersState:
        """The page as it is now."""
        if self._state is None:
            self._drawn_s = self._now_s
            self._state = self._picture.state(self._face, self._now_s)
        return self._state

    def _changed(self) -> None:
        self._state = None

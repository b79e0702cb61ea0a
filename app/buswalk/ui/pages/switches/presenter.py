"""Decides what the page Switches shows and does. Plain Python."""

from __future__ import annotations

from dataclasses import replace

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.board import Board
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.library import BoardLibrary, NoSuchBoard
from buswalk.domain.switches.picture import BodyTone
from buswalk.domain.visit.session_events import PlanKept
from buswalk.ui.pages.page import RailNote
from buswalk.ui.pages.switches.block_words import keys_words
from buswalk.ui.pages.switches.board_editing import BoardFact, kind_of, offered_facts
from buswalk.ui.pages.switches.comparing import Comparing
from buswalk.ui.pages.switches.describing import Describing
from buswalk.ui.pages.switches.entries import Entries
from buswalk.ui.pages.switches.label_sheet import LabelSheet, SheetWanted, labels_wanted
from buswalk.ui.pages.switches.setting_desk import SettingDesk
from buswalk.ui.pages.switches.switches_state import BoardChoice, ControlsKind, SwitchesState
from buswalk.ui.pages.switches.ways import SwitchedDevice, SwitchesWays
from buswalk.ui.wording import plural

START_BOARD = "levers-8"
NOBODY = "From address to switches and back."


class SwitchesPresenter:
    """Takes what the user does; `state` is what is shown. Everything is live: nothing waits for a button."""

    def __init__(self, ways: SwitchesWays) -> None:
        self._ways = ways
        self._library = ways.read_boards()
        self._turn = Turn.NONE
        self._tone = BodyTone.FILLED_IS_ON
        self._comparing = Comparing()
        self._device: SwitchedDevice | None = None
        self._planned: tuple[PlannedDevice, ...] = ()
        self._told = ""
        self._drawn: SwitchesState | None = None
        self.setting = SettingDesk(_first_board(self._library), self._fresh)
        self.describing = Describing(self, self._redraw)
        self.sheet = LabelSheet(ways.print_labels, self._redraw)
        self.setting.take_address(1)

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream: the plan is what labels are printed of."""
        match item:
            case Kept(event=PlanKept(devices)) if devices != self._planned:
                self._planned = devices
                self._drawn = None
                if self.sheet.is_open:
                    self.sheet.renew(self._sheet_wanted())

    def tick(self, line_time_s: float) -> None:
        """Nothing on this page passes with time."""

    # Boards

    def choose_board(self, name: str) -> None:
        """Take another description; the address stays where the board can have it."""
        try:
            self.setting.use(self._library.named(name))
        except NoSuchBoard as reason:
            self._say(f"{reason.sentence[0].upper()}{reason.sentence[1:]}.")
        if self.describing.is_open:
            self.describing.open()

    def choose_kind(self, kind: ControlsKind) -> None:
        """Take the first board of a kind."""
        board = next((one for one in self._library.boards if kind_of(one) is kind), None)
        if board is not None and kind_of(self.board) is not kind:
            self.setting.use(board)

    def change_fact(self, fact: BoardFact, value: int) -> None:
        """Change one fact of the board; the switches stay as they are, and say what they then mean."""
        offered = next((one for one in offered_facts(self.board) if one.fact is fact), None)
        if offered is None or not 0 <= value < len(offered.boards):
            return
        changed = offered.boards[value]
        if changed != self.board:
            self.show_board(changed)

    def change_fact_at(self, place: int, value: int) -> None:
        """Change the fact that stands at this place of the list."""
        facts = offered_facts(self.board)
        if 0 <= place < len(facts):
            self.change_fact(facts[place].fact, value)

    @property
    def board(self) -> Board:
        """The board that is shown."""
        return self.setting.board

    @property
    def library(self) -> BoardLibrary:
        """All boards that are known."""
        return self._library

    def show_board(self, board: Board) -> None:
        """Show another description; levers and dials of the same number stay as they are set."""
        self.setting.show(board)

    def keep_board(self, board: Board) -> str:
        """Keep a board of the user's and choose it, read from its file; return what came of it."""
        told = self._ways.save_board(board)
        self._library = self._ways.read_boards()
        if any(one == board for one in self._library.boards):
            self.setting.adopt(self._library.named(board.name))
            self._say(told)
        return told

    def undo_board(self) -> None:
        """Show the board as it is in its file."""
        known = next((one for one in self._library.boards if one.name == self.board.name), None)
        if known is not None:
            self.show_board(known)

    def turn(self) -> None:
        """Turn the picture by a quarter, clockwise."""
        order = list(Turn)
        self._turn = order[(order.index(self._turn) + 1) % len(order)]
        self._drawn = None

    def choose_tone(self, tone: BodyTone) -> None:
        """Draw levers and body as those of the board."""
        self._tone = tone
        self._drawn = None

    # Set here, found there

    def edit_intended(self, text: str) -> None:
        """Write where the device was to answer."""
        self._enter(replace(self._comparing.entries, intended=text.strip()))

    def edit_found(self, text: str) -> None:
        """Write where it answers."""
        self._enter(replace(self._comparing.entries, found=text.strip()))

    def edit_previous(self, text: str) -> None:
        """Write where it answered before it was set, if that is known."""
        self._enter(replace(self._comparing.entries, previous=text.strip()))

    def choose_mistake(self, index: int) -> None:
        """Choose an explanation: it says what to set instead."""
        self._comparing.choose(index)
        self._drawn = None

    def show_device(self, device: SwitchedDevice) -> None:
        """F7 on a device: its board, its address, and what explains the one where it was found."""
        self._device = device
        self._told = ""
        self.sheet.close()
        self.describing.close()
        if device.board:
            self.choose_board(device.board)
        told = self._told
        if device.intended is not None:
            self.setting.take_address(device.intended)
        found = device.found if device.found != device.intended else None
        self._enter(Entries(_text(device.intended), _text(found)))
        self._say(told)

    # Ways out

    def main_action(self) -> None:
        """F5: ask both addresses; with none written, the one that is shown. A sheet that is shown is printed."""
        if self.sheet.is_open:
            self.print_shown()
            return
        compared = self._comparing.addresses(self.setting.table, self._library.boards)
        if compared:
            self._ways.ask(compared)
            return
        address = self.setting.address
        if address is not None:
            self._ways.ask((address,))

    def to_device(self) -> None:
        """F7: back to the device."""
        if self._device is not None:
            self._ways.to_device(self._device)

    def print_shown(self) -> None:
        """Ctrl+P: print the sheet that is shown, else the label of what is shown."""
        if self.sheet.is_open:
            self.sheet.print()
        else:
            self.print_label()

    def print_label(self) -> None:
        """Print the label of what is shown."""
        address = self.setting.address
        if address is None:
            self._say("What is shown is no address: no label was made.")
            return
        device = self._device
        name, where = (device.name, device.where) if device is not None else (f"device {address}", "")
        label = Label(address, name, where, "", self.board, self.setting.pattern)
        self._say(self._ways.print_labels((label,), self._turn, self._tone))

    def show_sheet(self) -> None:
        """Show a label of every planned device, as printed; those without a board have the one that is shown."""
        if not self._planned:
            self._say("No device is planned: there are no labels.")
            return
        self.sheet.open(self._sheet_wanted())

    # What is shown

    @property
    def note(self) -> RailNote:
        """Nothing stands in the rail."""
        return RailNote()

    @property
    def state(self) -> SwitchesState:
        """All that is shown."""
        if self._drawn is None:
            self._drawn = self._draw()
        return self._drawn

    def _draw(self) -> SwitchesState:
        board = self.board
        boards = tuple(BoardChoice(one.name, one.title, one.name in self._library.own) for one in self._library.boards)
        is_changed = board not in self._library.boards
        at = next((i for i, one in enumerate(boards) if one.name == board.name), -1)
        kinds = {kind_of(one) for one in self._library.boards}
        return SwitchesState(
            sentence=self._sentence(),
            kinds=tuple(one for one in ControlsKind if one in kinds),
            kind=kind_of(board),
            boards=boards,
            board=at,
            about=board.about,
            facts=tuple(one.shown for one in offered_facts(board)),
            takes_effect=board.takes_effect.value,
            is_changed=is_changed,
            turn=self._turn,
            tone=self._tone,
            keys=keys_words(board),
            block=self.setting.block(self._turn),
            explained=self._comparing.state(self.setting.table, self._library.boards, self._turn),
            device_words=f"To {self._device.name}" if self._device is not None else "",
            board_problems=self._library.problems,
            sheet_words=f"Show {plural(len(self._planned), 'label')}" if self._planned else "",
            told=self._told,
            described=self.describing.state(is_changed=is_changed),
            sheet=self.sheet.state,
        )

    def _sentence(self) -> str:
        if self._device is None:
            return f"{NOBODY} Here: {self.board.title}."
        where = f", {self._device.where}" if self._device.where else ""
        return f"{NOBODY} Here: {self._device.name}{where}."

    def _sheet_wanted(self) -> SheetWanted:
        return labels_wanted(self._planned, self._library, self.board, self._turn, self._tone)

    # Keeping it

    def _enter(self, entries: Entries) -> None:
        self._comparing.enter(entries)
        self._drawn = None

    def _redraw(self) -> None:
        self._drawn = None

    def _fresh(self) -> None:
        self._told = ""
        self._drawn = None

    def _say(self, words: str) -> None:
        self._told = words
        self._drawn = None


def _first_board(library: BoardLibrary) -> Board:
    return next((one for one in library.boards if one.name == START_BOARD), library.boards[0])


def _text(number: int | None) -> str:
    return "" if number is None else str(number)

"""Keeps how the switches of the board that is shown are set, and what is typed or flipped to set them. Plain Python."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.switches.board import Board, Pattern
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.reading import address_of
from buswalk.domain.switches.setting import SettingTable, put, turned
from buswalk.domain.switches.typed import NotUnderstood, TypedNumber, read_typed_address, read_typed_pattern
from buswalk.domain.switches.wording import not_possible_words
from buswalk.ui.pages.switches.block_words import BlockFacts, block_state
from buswalk.ui.pages.switches.switches_state import BlockState


class SettingDesk:
    """Takes a pattern or an address; what cannot be is said, and the switches stay."""

    def __init__(self, board: Board, changed: Callable[[], None]) -> None:
        self._changed = changed
        self._table = SettingTable(board)
        self._pattern: Pattern = board.rest
        self._present: Pattern | None = None
        self._trouble = ""
        self._nearest: tuple[int, ...] = ()

    # What is set

    @property
    def board(self) -> Board:
        """The board that is shown."""
        return self._table.board

    @property
    def table(self) -> SettingTable:
        """Its patterns and the addresses that they mean."""
        return self._table

    @property
    def pattern(self) -> Pattern:
        """Where levers and dials stand."""
        return self._pattern

    @property
    def address(self) -> int | None:
        """The address that they mean, if it is one."""
        return address_of(self.board, self._pattern)

    def block(self, turn: Turn) -> BlockState:
        """Return what the block shows."""
        return block_state(BlockFacts(self._table, self._pattern, self._present, turn, self._trouble, self._nearest))

    # Boards

    def use(self, board: Board) -> None:
        """Take another board; the address stays where the board can have it."""
        address = self.address
        self._table = SettingTable(board)
        self._pattern, self._present = board.rest, None
        if address is None:
            self._fresh()
        else:
            self.take_address(address)

    def show(self, board: Board) -> None:
        """Take another description; levers and dials of the same number stay as they are set."""
        if board.shape != self.board.shape:
            at = {one.label: place for one, place in zip(self.board.controls, self._pattern, strict=True)}
            self._pattern = tuple(min(at.get(one.label, 0), one.positions - 1) for one in board.controls)
            self._present = None
        self._table = SettingTable(board)
        self._fresh()

    def adopt(self, board: Board) -> None:
        """Take the same board as it stands in its file now: what was said of its switches stays too."""
        self._table = SettingTable(board)

    # Levers and dials

    def flip(self, index: int) -> None:
        """Flip a lever, or turn a dial by one."""
        self.step(index, 1)

    def step(self, index: int, steps: int) -> None:
        """Turn a dial by so many positions; a lever is flipped."""
        self._move(index, turned(self.board, self._pattern, index, steps)[index])

    def set_position(self, index: int, position: int) -> None:
        """Put a lever or dial at a position; one that it does not have does nothing."""
        if 0 <= position < self.board.controls[index].positions:
            self._move(index, position)

    def flip_numbered(self, label: str) -> None:
        """Flip the lever with this printed number: keys 1 to 8."""
        for index, control in enumerate(self.board.controls):
            if control.label == label:
                self.flip(index)

    def here_is_set(self) -> None:
        """What is shown is how the board is set now: from here on it is said what to move."""
        self._present = self._pattern
        self._fresh()

    # Typed

    def type_pattern(self, text: str) -> None:
        """Take what is typed: 101001, on off on, dial digits, 0x25."""
        try:
            typed = read_typed_pattern(self.board, text, self._pattern)
        except NotUnderstood as reason:
            self._fresh(trouble=f"{reason.sentence}.")
            return
        match typed:
            case TypedNumber(number):
                self.take_address(number)
            case _:
                self._pattern = typed.pattern
                self._fresh()

    def type_address(self, text: str) -> None:
        """Take an address in decimal, as 0x25 or as 0b100101."""
        try:
            self.take_address(read_typed_address(text))
        except NotUnderstood as reason:
            self._fresh(trouble=f"{reason.sentence}.")

    def type_hexadecimal(self, text: str) -> None:
        """Take an address written in hex, with or without 0x."""
        plain = text.strip()
        self.type_address(plain if plain[:2].lower() == "0x" else f"0x{plain}")

    def type_binary(self, text: str) -> None:
        """Take an address written in binary, with or without 0b, spaces between."""
        plain = "".join(text.split())
        self.type_address(plain if plain[:2].lower() == "0b" else f"0b{plain}")

    def take_address(self, number: int) -> None:
        """Set the switches so that they mean this address, with as few moves as can be."""
        if number not in SERVER_ADDRESSES:
            self._fresh(trouble=f"{number} is no server's address: servers have 1 to 247.")
            return
        pattern = self._table.pattern(number, self._present or self._pattern)
        if pattern is None:
            self._fresh(trouble=f"{not_possible_words(self._table, number)}.")
            self._nearest = self._table.nearest(number)
            return
        self._pattern = pattern
        self._fresh()

    # Keeping it

    def _move(self, index: int, position: int) -> None:
        self._pattern = put(self._pattern, index, position)
        self._fresh()

    def _fresh(self, trouble: str = "") -> None:
        self._trouble, self._nearest = trouble, ()
        self._changed()

"""Decides what the card shows and does on which a board is described and kept. Plain Python."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from functools import partial
from typing import Protocol

from buswalk.domain.switches.board import DIAL_SIZES, MOST_LEVERS, Board
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.meaning import MeaningKind
from buswalk.domain.switches.wording import listed
from buswalk.ui.pages.switches.board_facts import (
    UNTOLD,
    CannotBe,
    LeverUse,
    combinations,
    dials_of,
    levers_of,
    summary_of,
    uses_of,
    with_dials,
    with_first_number,
    with_lever_count,
    with_said,
    with_stance,
    with_use,
    with_weights,
)
from buswalk.ui.pages.switches.describe_state import DescribeState, FactChoice, ListEntry

MOST_DIALS = 3
LONGEST_NAME = 24
LONGEST_TITLE = 60
HIGHEST_ADDED = 255
STANCES = ("side by side", "above each other")
NO_NAME = "Write a name for the board first."


class BoardDesk(Protocol):
    """The page, as far as a description needs it."""

    @property
    def board(self) -> Board:
        """The board that is shown."""

    @property
    def library(self) -> BoardLibrary:
        """All that are known."""

    def show_board(self, board: Board) -> None:
        """Show another one; levers of the same number stay as they are set."""

    def keep_board(self, board: Board) -> str:
        """Keep a board of the user's, read all anew, and return what came of it."""

    def undo_board(self) -> None:
        """Show the board as it is in its file."""


class Describing:
    """Everything is live: each entry that can be is in the picture at once."""

    def __init__(self, desk: BoardDesk, changed: Callable[[], None]) -> None:
        self._desk = desk
        self._changed = changed
        self._name = ""
        self._trouble = ""
        self.is_open = False

    def open(self) -> None:
        """Show the card."""
        self.is_open, self._trouble = True, ""
        board = self._desk.board
        self._name = board.name if board.name in self._desk.library.own else ""
        self._changed()

    def close(self) -> None:
        """Put the card away; the board stays as it is described."""
        self.is_open = False
        self._changed()

    # What the user writes and chooses

    def choose_fact(self, at: int, value: int) -> None:
        """Choose a value of the fact at a place."""
        acts = self._fact_acts()
        if 0 <= at < len(acts):
            self._try(lambda: acts[at](value))

    def choose_use(self, index: int, value: int) -> None:
        """Choose what a lever is for."""
        offered = _offered_uses(self._desk.board)
        if 0 <= index < len(uses_of(self._desk.board)) and 0 <= value < len(offered):
            self._try(lambda: with_use(self._desk.board, index, offered[value]))

    def write_list(self, at: int, text: str) -> None:
        """Write what levers count, or what they say."""
        writers = self._writers()
        if 0 <= at < len(writers):
            self._try(lambda: writers[at](text))

    def change_adds(self, text: str) -> None:
        """Write what the board adds by itself."""
        self._try(lambda: replace(self._desk.board, adds=_number("The added number", text, "0 to 255")))

    def change_base(self, text: str) -> None:
        """Write what the device stores and adds, or nothing if it stores none."""
        words = "The stored base", text, "0 to 255, or nothing"
        self._try(lambda: replace(self._desk.board, stored_base=_number(*words) if text.strip() else None))

    def write_name(self, text: str) -> None:
        """Write the name by which plans and commands are to call it."""
        self._name, self._trouble = text, ""
        self._changed()

    def keep(self) -> None:
        """Keep the board as it is now among the user's own, and choose it."""
        plain = "-".join(self._name.split())
        trouble = _trouble_of_name(plain)
        if trouble:
            self._trouble = trouble
            self._changed()
            return
        board = self._desk.board
        wanted = replace(board, name=plain, title=_title(plain, board), about=_about(board))
        told = self._desk.keep_board(wanted)
        is_kept = any(one == wanted for one in self._desk.library.boards)
        self.is_open = not is_kept
        self._trouble = "" if is_kept else told
        self._changed()

    def undo(self) -> None:
        """Take all changes back that are not kept."""
        self._trouble = ""
        self._desk.undo_board()
        self._changed()

    # What is shown

    def state(self, *, is_changed: bool) -> DescribeState | None:
        """All that is shown; None while the card is away."""
        if not self.is_open:
            return None
        board = self._desk.board
        offered = _offered_uses(board)
        block = levers_of(board)
        labels = [one.label for one in block.levers] if block is not None else []
        names = tuple(one.value for one in offered)
        return DescribeState(
            facts=_lever_facts(board) if block is not None else _dial_facts(board),
            uses=tuple(
                FactChoice(f"Lever {label}", names, offered.index(use))
                for label, use in zip(labels, uses_of(board), strict=True)
            ),
            lists=tuple(_lists(board)),
            adds=str(board.adds),
            base="" if board.stored_base is None else str(board.stored_base),
            name=self._name,
            name_note=self._name_note(),
            summary=f"{_capital(summary_of(board))}.",
            trouble=self._trouble,
            can_undo=is_changed and any(one.name == board.name for one in self._desk.library.boards),
        )

    def _name_note(self) -> str:
        plain = "-".join(self._name.split()).casefold()
        same = next((one for one in self._desk.library.boards if one.name.casefold() == plain), None)
        if same is None:
            return ""
        return f"This takes the place of {'your' if same.name in self._desk.library.own else 'the'} board {same.name}."

    # Facts and lists by their place

    def _fact_acts(self) -> list[Callable[[int], Board]]:
        board = self._desk.board
        if levers_of(board) is None:
            dials = dials_of(board)
            return [
                lambda value: with_dials(board, value + 1, dials[0].positions),
                lambda value: with_dials(board, len(dials), DIAL_SIZES[value]),
            ]
        return [
            lambda value: with_lever_count(board, value + 1),
            lambda value: with_stance(board, is_row=value == 0),
            lambda value: with_first_number(board, value),
        ]

    def _writers(self) -> list[Callable[[str], Board]]:
        board = self._desk.board
        writers: list[Callable[[str], Board]] = []
        if levers_of(board) is not None:
            writers.append(lambda text: with_weights(board, _numbers(board, text)))
        return [*writers, *(partial(_with_said_text, board, at) for at in _said_by_levers(board))]

    def _try(self, described: Callable[[], Board]) -> None:
        try:
            board = described()
        except (CannotBe, ValueError) as reason:
            self._trouble = reason.sentence if isinstance(reason, CannotBe) else CannotBe(str(reason)).sentence
            self._changed()
            return
        self._trouble = ""
        self._desk.show_board(board)


def _lever_facts(board: Board) -> tuple[FactChoice, ...]:
    block = levers_of(board)
    if block is None:
        return ()
    first = block.levers[0].label
    return (
        FactChoice("Levers", tuple(str(count) for count in range(1, MOST_LEVERS + 1)), len(block.levers) - 1),
        FactChoice("They stand", STANCES, 0 if block.is_row else 1),
        FactChoice("Numbered from", ("0", "1"), int(first) if first in ("0", "1") else -1),
    )


def _dial_facts(board: Board) -> tuple[FactChoice, ...]:
    dials = dials_of(board)
    return (
        FactChoice("Dials", tuple(str(count) for count in range(1, MOST_DIALS + 1)), len(dials) - 1),
        FactChoice("Positions", tuple(str(size) for size in DIAL_SIZES), DIAL_SIZES.index(dials[0].positions)),
    )


def _offered_uses(board: Board) -> tuple[LeverUse, ...]:
    """Every use; that of another kind only where there is such a lever already, for its words come from a file."""
    has_other = LeverUse.OTHER in uses_of(board)
    return tuple(one for one in LeverUse if one is not LeverUse.OTHER or has_other)


def _said_by_levers(board: Board) -> list[int]:
    """Return which meanings say something by levers alone: those of dials are left as they are."""
    levers = {one.label for one in board.controls if one.positions == 2}
    return [
        at for at, one in enumerate(board.meanings) if one.kind is not MeaningKind.NOTHING and set(one.of) <= levers
    ]


def _lists(board: Board) -> list[ListEntry]:
    block = levers_of(board)
    lists: list[ListEntry] = []
    if block is not None:
        counting = [one for one in block.levers if one.weight]
        of = listed([one.label for one in counting])
        count = "counts" if len(counting) == 1 else "count, in this order"
        lists.append(ListEntry(f"{_lever_word(len(counting))} {of} {count}", _joined(one.weight for one in counting)))
    for at in _said_by_levers(board):
        meaning = board.meanings[at]
        orders = "OFF, ON" if len(meaning.of) == 1 else ", ".join(combinations(len(meaning.of)))
        word = "meaning" if meaning.kind is MeaningKind.OTHER else meaning.kind.value
        said = [meaning.said_by(signs) or UNTOLD for signs in combinations(len(meaning.of))]
        lists.append(
            ListEntry(
                f"{_capital(word)} by {_lever_word(len(meaning.of)).lower()} {listed(meaning.of)} at {orders}",
                _joined(said),
            )
        )
    return lists


def _numbers(board: Board, text: str) -> tuple[int, ...]:
    block = levers_of(board)
    count = sum(one.weight > 0 for one in block.levers) if block is not None else 0
    parts = _parts(text, count)
    wrong = next((one for one in parts if not (one.isascii() and one.isdecimal())), None)
    if wrong is not None:
        raise CannotBe(f"a lever cannot count '{wrong}': write whole numbers with commas between")
    return tuple(int(one) for one in parts)


def _with_said_text(board: Board, at: int, text: str) -> Board:
    return with_said(board, at, tuple(_parts(text, 2 ** len(board.meanings[at].of))))


def _parts(text: str, count: int) -> list[str]:
    parts = [one.strip() for one in text.split(",")]
    if len(parts) != count or not all(parts):
        written = sum(bool(one) for one in parts)
        raise CannotBe(f"write {count} values with commas between, {UNTOLD} for one not known; there are {written}")
    return parts


def _number(what: str, text: str, instead: str) -> int:
    plain = text.strip()
    if not (plain.isascii() and plain.isdecimal() and int(plain) <= HIGHEST_ADDED):
        raise CannotBe(f"{what} '{plain}' cannot be: write {instead}")
    return int(plain)


def _trouble_of_name(plain: str) -> str:
    if not plain:
        return NO_NAME
    if len(plain) > LONGEST_NAME:
        return f"The name has {len(plain)} signs: write at most {LONGEST_NAME}."
    return ""


def _title(name: str, board: Board) -> str:
    """Return name and summary, without its last parts where it would be longer than the list of boards is wide."""
    parts = summary_of(board).split(", ")
    while len(parts) > 1 and len(f"{name}: {', '.join(parts)}") > LONGEST_TITLE:
        parts.pop()
    return f"{name}: {', '.join(parts)}"


def _about(board: Board) -> str:
    block = levers_of(board)
    if block is None:
        return "Described on the page Switches."
    first = block.levers[0]
    return (
        f"Described on the page Switches: lever {first.label} at the {block.first.value} end, ON {block.on.value}, "
        f"{block.counts_when.value.upper()} counts."
    )


def _lever_word(count: int) -> str:
    return "Lever" if count == 1 else "Levers"


def _joined(values: Iterable[object]) -> str:
    return ", ".join(str(one) for one in values)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"

"""The switches as a picture of plain ASCII signs: [1] and [0] are levers for the address, (1) and (0) others."""

from __future__ import annotations

from collections.abc import Collection
from itertools import zip_longest

from buswalk.domain.switches.board import SYMBOLS, Board, Control, Pattern, Side
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.picture import NOT_TOLD, SHORT_WORDS
from buswalk.domain.switches.seen import SeenDial, SeenLevers, seen_blocks

CELL = 5
GAP = "   "
MARK = "*"


def picture_lines(
    board: Board, pattern: Pattern, turn: Turn = Turn.NONE, marked: Collection[int] = ()
) -> tuple[str, ...]:
    """Return the lines of the picture; controls that are to be moved are marked with a star."""
    blocks = [_block_lines(board, pattern, seen, marked) for seen in seen_blocks(board, turn)]
    if turn.quarters % 2:
        return tuple(line.rstrip() for lines in blocks for line in (*lines, ""))[:-1]
    height = max(len(lines) for lines in blocks)
    stood = [_stood(lines, height) for lines in blocks]
    return tuple(GAP.join(parts).rstrip() for parts in zip(*stood, strict=True))


def _stood(lines: list[str], height: int) -> list[str]:
    """Return the lines all of one width, with empty ones under them."""
    width = max(len(line) for line in lines)
    return [line.ljust(width) for line in [*lines, *[""] * (height - len(lines))]]


def _block_lines(board: Board, pattern: Pattern, seen: SeenLevers | SeenDial, marked: Collection[int]) -> list[str]:
    match seen:
        case SeenDial(index):
            return _dial(board.controls[index], pattern[index], is_marked=index in marked)
        case SeenLevers(indices, on) if seen.is_row:
            return _row(board, pattern, indices, on, marked)
        case SeenLevers(indices, on):
            return _column(board, pattern, indices, on, marked)


def _row(board: Board, pattern: Pattern, indices: tuple[int, ...], on: Side, marked: Collection[int]) -> list[str]:
    edge = "+" + "+".join("-" * CELL for _ in indices) + "+"
    at_on = [_knob(board, pattern, i) if pattern[i] else " " * CELL for i in indices]
    at_off = [" " * CELL if pattern[i] else _knob(board, pattern, i) for i in indices]
    is_up = on is Side.UP
    rows = [("ON ^ " if is_up else "     ", at_on if is_up else at_off)]
    rows.append(("     " if is_up else "ON v ", at_off if is_up else at_on))
    lines = [_cells([board.controls[i].label for i in indices]), f"     {edge}"]
    lines += [f"{before}|{'|'.join(cells)}|" for before, cells in rows]
    lines.append(f"     {edge}")
    says = [_says(board, board.controls[i]) for i in indices]
    lines += [_cells(list(line)) for line in zip_longest(*says, fillvalue="")]
    if any(i in marked for i in indices):
        lines.append(_cells([MARK if i in marked else "" for i in indices]) + "  * to move")
    return lines


def _column(board: Board, pattern: Pattern, indices: tuple[int, ...], on: Side, marked: Collection[int]) -> list[str]:
    labels = max(len(board.controls[i].label) for i in indices)
    edge = f"  {' ' * labels} +{'-' * CELL * 2}+"
    arrow = "-> ON" if on is Side.RIGHT else "ON <-"
    lines = [f"  {' ' * labels}  {arrow.rjust(CELL * 2) if on is Side.RIGHT else arrow}", edge]
    for i in indices:
        is_right = (pattern[i] == 1) == (on is Side.RIGHT)
        knob = _knob(board, pattern, i)
        slot = " " * CELL + knob if is_right else knob + " " * CELL
        mark = MARK if i in marked else " "
        label = board.controls[i].label.rjust(labels)
        lines += [f"{mark} {label} |{slot}| {' '.join(_says(board, board.controls[i]))}", edge]
    return lines


def _dial(control: Control, position: int, *, is_marked: bool) -> list[str]:
    sum_words = f"{position} x {control.weight}" if control.is_for_address else ""
    return [
        f" {control.label}",
        " .---.",
        f" | {SYMBOLS[position]} |{' * to move' if is_marked else ''}",
        " '---'",
        f" {sum_words}",
    ]


def _knob(board: Board, pattern: Pattern, index: int) -> str:
    sign = SYMBOLS[pattern[index]]
    return f" [{sign}] " if board.controls[index].is_for_address else f" ({sign}) "


def _says(board: Board, control: Control) -> tuple[str, ...]:
    if control.is_for_address:
        return (str(control.weight),)
    kinds = [one.kind for one in board.meanings if control.label in one.of]
    return SHORT_WORDS[kinds[0]] if kinds else NOT_TOLD


def _cells(words: list[str]) -> str:
    return "     " + "".join(f" {word[: CELL + 1].center(CELL)}" for word in words)

"""How a block lies before the eye when the board is turned: which lever comes first, and where ON is."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.switches.board import Board, Dial, LeverBlock, Side
from buswalk.domain.switches.geometry import Turn

_CLOCKWISE = (Side.UP, Side.RIGHT, Side.DOWN, Side.LEFT)


@dataclass(frozen=True, slots=True)
class SeenLevers:
    """A block of levers as seen.

    Attributes:
        indices: Of their controls, from left to right, or from top to bottom where they stand above each other.
        on: The side of ON.
    """

    indices: tuple[int, ...]
    on: Side

    @property
    def is_row(self) -> bool:
        """Whether the levers stand in a row."""
        return self.on.is_upright


@dataclass(frozen=True, slots=True)
class SeenDial:
    """A dial as seen: the index of its control."""

    index: int


def turned_side(side: Side, turn: Turn) -> Side:
    """Return where a side lies when the board is turned."""
    return _CLOCKWISE[(_CLOCKWISE.index(side) + turn.quarters) % 4]


def seen_blocks(board: Board, turn: Turn) -> tuple[SeenLevers | SeenDial, ...]:
    """Return the blocks from left to right, or from top to bottom where the board is turned by a quarter."""
    found: list[SeenLevers | SeenDial] = []
    index = 0
    for block in board.blocks:
        match block:
            case LeverBlock(levers=levers, first=first, on=on):
                indices = tuple(range(index, index + len(levers)))
                is_at_begin = turned_side(first, turn) in (Side.LEFT, Side.UP)
                found.append(SeenLevers(indices if is_at_begin else indices[::-1], turned_side(on, turn)))
                index += len(levers)
            case Dial():
                found.append(SeenDial(index))
                index += 1
    return tuple(found if turn in (Turn.NONE, Turn.RIGHT) else found[::-1])

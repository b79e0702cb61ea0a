"""Facts of a board as the page offers them for change, and the board with one of them changed."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

from buswalk.domain.switches.board import Board, CountsWhen, Dial, LeverBlock, Side, TakesEffect
from buswalk.ui.pages.switches.describe_state import FactChoice
from buswalk.ui.pages.switches.switches_state import ControlsKind

_ADDS = (0, 1)


class BoardFact(Enum):
    """A fact that can be changed."""

    FIRST = "first"
    ON = "on"
    COUNTS = "counts"
    DIRECTION = "direction"
    ADDS = "adds"
    LEFT_DIAL = "left dial"
    TAKES_EFFECT = "takes effect"


@dataclass(frozen=True, slots=True)
class OfferedFact:
    """A fact, as it is shown, and the boards that its values lead to."""

    fact: BoardFact
    shown: FactChoice
    boards: tuple[Board, ...]


def offered_facts(board: Board) -> tuple[OfferedFact, ...]:
    """Return every fact that this board has."""
    offered: list[OfferedFact] = []
    block = next((one for one in board.blocks if isinstance(one, LeverBlock)), None)
    if block is not None:
        offered += _lever_facts(board, block)
    if len([one for one in board.blocks if isinstance(one, Dial)]) > 1:
        offered.append(_dial_order(board))
    adds = tuple(replace(board, adds=number) for number in _ADDS)
    at = _ADDS.index(board.adds) if board.adds in _ADDS else -1
    offered.append(OfferedFact(BoardFact.ADDS, FactChoice("Board adds", ("0", "1"), at), adds))
    effects = (TakesEffect.AT_ONCE, TakesEffect.AFTER_POWER_UP)
    shown = FactChoice("Takes effect", tuple(one.value for one in effects), effects.index(board.takes_effect))
    effect_boards = tuple(replace(board, takes_effect=one) for one in effects)
    offered.append(OfferedFact(BoardFact.TAKES_EFFECT, shown, effect_boards))
    return tuple(offered)


def kind_of(board: Board) -> ControlsKind:
    """Return in which segment a board is."""
    has_levers = any(isinstance(one, LeverBlock) for one in board.blocks)
    dials = [one for one in board.blocks if isinstance(one, Dial)]
    if has_levers:
        return ControlsKind.MIXED if dials else ControlsKind.LEVERS
    return ControlsKind.HEX_DIALS if dials[0].positions == 16 else ControlsKind.DECIMAL_DIALS


def _lever_facts(board: Board, block: LeverBlock) -> list[OfferedFact]:
    first = block.levers[0].label
    ends = (Side.LEFT, Side.RIGHT) if block.is_row else (Side.UP, Side.DOWN)
    sides = (Side.UP, Side.DOWN) if block.is_row else (Side.LEFT, Side.RIGHT)
    counts = (CountsWhen.ON, CountsWhen.OFF)
    weights = [one.weight for one in block.levers if one.weight]
    facts = [
        _offered(
            board,
            BoardFact.FIRST,
            FactChoice(f"Lever {first} is", tuple(_end_word(one) for one in ends), ends.index(block.first)),
            tuple(replace(block, first=one) for one in ends),
        ),
        _offered(
            board,
            BoardFact.ON,
            FactChoice("ON is", tuple(one.value for one in sides), sides.index(block.on)),
            tuple(replace(block, on=one) for one in sides),
        ),
        _offered(
            board,
            BoardFact.COUNTS,
            FactChoice("ON means", ("1", "0"), counts.index(block.counts_when)),
            tuple(replace(block, counts_when=one) for one in counts),
        ),
    ]
    if len(weights) > 1 and weights in (sorted(weights), sorted(weights, reverse=True)):
        is_falling = weights[0] > weights[-1]
        rising, falling = _with_weights(block, sorted(weights)), _with_weights(block, sorted(weights, reverse=True))
        shown = FactChoice(f"Lever {first} counts", (str(min(weights)), "most"), int(is_falling))
        facts.append(_offered(board, BoardFact.DIRECTION, shown, (rising, falling)))
    return facts


def _dial_order(board: Board) -> OfferedFact:
    dials = [one for one in board.blocks if isinstance(one, Dial)]
    backward = iter(reversed(dials))
    turned = tuple(next(backward) if isinstance(one, Dial) else one for one in board.blocks)
    shown = FactChoice("Left dial is", (dials[0].label, dials[-1].label), 0)
    return OfferedFact(BoardFact.LEFT_DIAL, shown, (board, replace(board, blocks=turned)))


def _offered(board: Board, fact: BoardFact, shown: FactChoice, blocks: tuple[LeverBlock, ...]) -> OfferedFact:
    """Return a fact that is about the first block of levers."""
    at = next(i for i, one in enumerate(board.blocks) if isinstance(one, LeverBlock))
    boards = tuple(replace(board, blocks=(*board.blocks[:at], block, *board.blocks[at + 1 :])) for block in blocks)
    return OfferedFact(fact, shown, boards)


def _with_weights(block: LeverBlock, weights: list[int]) -> LeverBlock:
    left = iter(weights)
    return replace(block, levers=tuple(replace(one, weight=next(left)) if one.weight else one for one in block.levers))


def _end_word(side: Side) -> str:
    return {Side.UP: "top", Side.DOWN: "bottom", Side.LEFT: "left", Side.RIGHT: "right"}[side]

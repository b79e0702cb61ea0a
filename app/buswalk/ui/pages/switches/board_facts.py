"""What a board is made of, taken apart for a description by hand and put together again. Plain Python."""

from __future__ import annotations

from dataclasses import replace
from enum import Enum

from buswalk.domain.switches.board import Block, Board, Dial, Lever, LeverBlock, Side
from buswalk.domain.switches.meaning import Meaning, MeaningKind

HIGHEST_WEIGHT = 255
UNTOLD = "?"
"""Stands for a combination of levers of which the description does not tell what it says."""


class CannotBe(Exception):
    """A fact that no board can have.

    Attributes:
        sentence: Why, and what to write instead.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = f"{sentence[:1].upper()}{sentence[1:].removesuffix('.')}."


class LeverUse(Enum):
    """What a lever is for."""

    ADDRESS = "address"
    SPEED = "speed"
    PARITY = "parity"
    LINE_END = "line end"
    POLARIZATION = "polarization"
    NOTHING = "no use"
    OTHER = "other"

    @property
    def kind(self) -> MeaningKind | None:
        """The meaning it has; None for the address."""
        return _KINDS.get(self)


_KINDS = {
    LeverUse.SPEED: MeaningKind.SPEED,
    LeverUse.PARITY: MeaningKind.PARITY,
    LeverUse.LINE_END: MeaningKind.TERMINATION,
    LeverUse.POLARIZATION: MeaningKind.POLARIZATION,
    LeverUse.NOTHING: MeaningKind.NOTHING,
    LeverUse.OTHER: MeaningKind.OTHER,
}
_USUAL: dict[tuple[MeaningKind, int], tuple[str, ...]] = {
    (MeaningKind.SPEED, 1): ("9600", "19200"),
    (MeaningKind.SPEED, 2): ("9600", "19200", "38400", "57600"),
    (MeaningKind.SPEED, 3): ("1200", "2400", "4800", "9600", "19200", "38400", "57600", "115200"),
    (MeaningKind.PARITY, 1): ("none", "even"),
    (MeaningKind.PARITY, 2): ("none", "even", "odd", UNTOLD),
    (MeaningKind.TERMINATION, 1): ("off", "on"),
    (MeaningKind.TERMINATION, 2): ("off", UNTOLD, UNTOLD, "on"),
    (MeaningKind.POLARIZATION, 1): ("off", "on"),
    (MeaningKind.POLARIZATION, 2): ("off", UNTOLD, UNTOLD, "on"),
}
"""Where a description begins: to be written over with what the board's sheet says."""


def levers_of(board: Board) -> LeverBlock | None:
    """Return the first block of levers; None for dials alone."""
    return next((one for one in board.blocks if isinstance(one, LeverBlock)), None)


def dials_of(board: Board) -> tuple[Dial, ...]:
    """Return all dials."""
    return tuple(one for one in board.blocks if isinstance(one, Dial))


def uses_of(board: Board) -> tuple[LeverUse, ...]:
    """Return what each lever of the first block is for."""
    block = levers_of(board)
    by_kind = {kind: use for use, kind in _KINDS.items()}
    told = {label: by_kind[one.kind] for one in board.meanings for label in one.of}
    levers = () if block is None else block.levers
    return tuple(LeverUse.ADDRESS if one.weight else told.get(one.label, LeverUse.NOTHING) for one in levers)


def with_lever_count(board: Board, count: int) -> Board:
    """Return it with more or fewer levers at the end; patterns with a meaning of their own are no longer known."""
    block = _levers(board)
    levers = list(block.levers[:count])
    uses = list(uses_of(board)[:count])
    while len(levers) < count:
        levers.append(Lever(_next_label(levers), 0))
        is_room = sum(one is LeverUse.ADDRESS for one in uses) < 8
        uses.append(LeverUse.ADDRESS if is_room and LeverUse.ADDRESS in uses else LeverUse.NOTHING)
    left = {one.label for one in block.levers} - {one.label for one in levers}
    meanings = tuple(one for one in board.meanings if not left & set(one.of))
    weights = _weights([one.weight for one in block.levers], uses)
    levers = [replace(one, weight=weight) for one, weight in zip(levers, weights, strict=True)]
    return _built(board, replace(block, levers=tuple(levers)), _meanings(meanings, levers, uses), is_same_shape=False)


def with_use(board: Board, index: int, use: LeverUse) -> Board:
    """Return it with another purpose of one lever; weights are counted on from those that are there."""
    block = _levers(board)
    uses = list(uses_of(board))
    uses[index] = use
    weights = _weights([one.weight for one in block.levers], uses)
    levers = [replace(one, weight=weight) for one, weight in zip(block.levers, weights, strict=True)]
    return _built(board, replace(block, levers=tuple(levers)), _meanings(board.meanings, levers, uses))


def with_weights(board: Board, numbers: tuple[int, ...]) -> Board:
    """Return it with what each lever that is for the address counts."""
    block = _levers(board)
    given = iter(numbers)
    levers = tuple(replace_weight(one, next(given)) if one.weight else one for one in block.levers)
    return _built(board, replace(block, levers=levers), board.meanings)


def replace_weight(lever: Lever, weight: int) -> Lever:
    """Return a lever that counts something else. Raises CannotBe."""
    if not 1 <= weight <= HIGHEST_WEIGHT:
        raise CannotBe(f"lever {lever.label} cannot count {weight}: write 1 to {HIGHEST_WEIGHT}")
    return replace(lever, weight=weight)


def with_said(board: Board, at: int, said: tuple[str, ...]) -> Board:
    """Return it with what a meaning says, in the order of `combinations`."""
    meaning = board.meanings[at]
    pairs = zip(combinations(len(meaning.of)), said, strict=True)
    try:
        changed = replace(meaning, values=tuple((signs, one) for signs, one in pairs if one != UNTOLD))
        return replace(board, meanings=(*board.meanings[:at], changed, *board.meanings[at + 1 :]))
    except ValueError as reason:
        raise CannotBe(str(reason)) from reason


def with_stance(board: Board, *, is_row: bool) -> Board:
    """Return it with levers side by side or above each other."""
    block = _levers(board)
    if block.is_row == is_row:
        return board
    first, on = (Side.LEFT, Side.UP) if is_row else (Side.UP, Side.RIGHT)
    return _built(board, replace(block, first=first, on=on), board.meanings)


def with_first_number(board: Board, first: int) -> Board:
    """Return it with levers numbered from another number on."""
    block = _levers(board)
    called = {one.label: str(first + at) for at, one in enumerate(block.levers)}
    levers = tuple(replace(one, label=called[one.label]) for one in block.levers)
    meanings = tuple(replace(one, of=tuple(called.get(label, label) for label in one.of)) for one in board.meanings)
    return _built(board, replace(block, levers=levers), meanings)


def with_dials(board: Board, count: int, positions: int) -> Board:
    """Return it with so many dials, the one at the right counting ones."""
    weights = [positions**power for power in reversed(range(count))]
    if max(weights) > HIGHEST_WEIGHT:
        raise CannotBe(f"{count} dials of {positions} positions cannot be: the left one would count {max(weights)}")
    dials: tuple[Block, ...] = tuple(Dial(f"x{weight}", positions, weight) for weight in weights)
    try:
        return replace(board, blocks=dials, specials=(), meanings=())
    except ValueError as reason:
        raise CannotBe(str(reason)) from reason


def combinations(count: int) -> tuple[str, ...]:
    """Return how so many levers can be set, one sign each: 00, 10, 01, 11."""
    return tuple("".join(str(number >> place & 1) for place in range(count)) for number in range(2**count))


def summary_of(board: Board) -> str:
    """Return in a few words what it is: what its title says when it is kept."""
    adds = f", adds {board.adds}" if board.adds else ""
    base = ", stored base" if board.stored_base is not None else ""
    dials = dials_of(board)
    block = levers_of(board)
    words = [] if block is None else [_lever_words(block)]
    if dials:
        kind = "hex" if dials[0].positions == 16 else "decimal"
        words.append(f"{len(dials)} {kind} dial{'' if len(dials) == 1 else 's'}")
    return f"{' and '.join(words)}{adds}{base}"


def _lever_words(block: LeverBlock) -> str:
    count, counting = len(block.levers), sum(one.weight > 0 for one in block.levers)
    levers = f"{count} lever{'' if count == 1 else 's'}"
    return levers if counting == count else f"{levers}, {counting} for the address"


def _levers(board: Board) -> LeverBlock:
    block = levers_of(board)
    if block is None:
        raise CannotBe("this board has no levers")
    return block


def _built(board: Board, block: LeverBlock, meanings: tuple[Meaning, ...], *, is_same_shape: bool = True) -> Board:
    at = next(i for i, one in enumerate(board.blocks) if isinstance(one, LeverBlock))
    blocks = (*board.blocks[:at], block, *board.blocks[at + 1 :])
    specials = board.specials if is_same_shape else ()
    try:
        return replace(board, blocks=blocks, meanings=meanings, specials=specials)
    except ValueError as reason:
        raise CannotBe(str(reason)) from reason


def _next_label(levers: list[Lever]) -> str:
    last = levers[-1].label if levers else "0"
    return str(int(last) + 1) if last.isascii() and last.isdecimal() else str(len(levers) + 1)


def _weights(before: list[int], uses: list[LeverUse]) -> list[int]:
    """Return the weights of all levers: the largest ones go first, new ones are twice the largest."""
    places = [at for at, use in enumerate(uses) if use is LeverUse.ADDRESS]
    kept = [weight for weight in before if weight]
    if places == [at for at, weight in enumerate(before) if weight]:
        return [before[at] if use is LeverUse.ADDRESS else 0 for at, use in enumerate(uses)]
    is_falling = len(kept) > 1 and kept == sorted(kept, reverse=True)
    counted = sorted(kept)[: len(places)]
    while len(counted) < len(places):
        counted.append(2 * counted[-1] if counted else 1)
    if counted and counted[-1] > HIGHEST_WEIGHT:
        raise CannotBe(f"one lever more would count {counted[-1]}: an address has one byte; take another use first")
    weights = [0] * len(uses)
    for at, weight in zip(places, reversed(counted) if is_falling else counted, strict=True):
        weights[at] = weight
    return weights


def _meanings(before: tuple[Meaning, ...], levers: list[Lever], uses: list[LeverUse]) -> tuple[Meaning, ...]:
    """Return the meanings: those whose levers have not changed stay, the others begin with what is usual."""
    mine = {one.label for one in levers}
    found = [one for one in before if not mine & set(one.of)]
    for use, kind in _KINDS.items():
        of = tuple(one.label for one, its in zip(levers, uses, strict=True) if its is use)
        same = [one for one in before if one.kind is kind and mine & set(one.of)]
        if set(of) == {label for one in same for label in one.of}:
            found += same
        elif of:
            found.append(_usual(kind, of))
    return tuple(found)


def _usual(kind: MeaningKind, of: tuple[str, ...]) -> Meaning:
    if kind is MeaningKind.NOTHING:
        return Meaning(kind, of)
    said = _USUAL.get((kind, len(of)))
    if said is None:
        raise CannotBe(f"{len(of)} levers for {kind.value} cannot be described here: take another use for one of them")
    pairs = zip(combinations(len(of)), said, strict=True)
    return Meaning(kind, of, tuple((signs, one) for signs, one in pairs if one != UNTOLD))

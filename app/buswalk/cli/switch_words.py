"""What people read of boards, settings and mistakes."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.cli.switch_picture import picture_lines
from buswalk.domain.switches.board import Board, Pattern, pattern_text
from buswalk.domain.switches.deciding import deciding_look
from buswalk.domain.switches.explaining import Explained, Explanation
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.mistake_words import (
    another_device_words,
    count_words,
    headlines,
    instead_words,
    look_words,
    tie_words,
    why_words,
)
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.notations import notations_of
from buswalk.domain.switches.reading import address_of, decoded
from buswalk.domain.switches.setting import SettingTable, moves
from buswalk.domain.switches.wording import decoded_words, effect_words, moves_words, on_words, order_words, sum_words

PAIRS_SHOWN = 3


def board_lines(library: BoardLibrary) -> Iterator[str]:
    """Yield the list of boards."""
    width = max((len(one.name) for one in library.boards), default=0)
    for board in library.boards:
        own = "  (yours)" if board.name in library.own else ""
        yield f"{board.name.ljust(width)}  {board.title}{own}"


def board_facts(board: Board, table: SettingTable, turn: Turn) -> Iterator[str]:
    """Yield what is known of one board."""
    yield f"{board.name}: {board.title}"
    if board.about:
        yield board.about
    yield ""
    yield from picture_lines(board, board.rest, turn)
    yield ""
    if table.possible:
        yield f"addresses {table.possible[0]} to {table.possible[-1]}, {effect_words(board)}"
    for special in board.specials:
        yield f"pattern {special.pattern}: {special.kind.value}, {special.words}"
    yield order_words(board)


def setting_lines(board: Board, pattern: Pattern, present: Pattern | None, turn: Turn) -> Iterator[str]:
    """Yield an address and its switches."""
    to_do = () if present is None else moves(present, pattern)
    address = address_of(board, pattern)
    yield f"{board.name}: {board.title}"
    if address is not None:
        written = notations_of(address)
        yield f"address {written.decimal} = {written.hexadecimal} = {written.binary}"
    yield ""
    yield from picture_lines(board, pattern, turn, {one.index for one in to_do})
    yield ""
    yield on_words(board, pattern)
    if present is not None:
        yield f"from {pattern_text(present)}: {moves_words(board, to_do)}"
    if address is not None:
        yield sum_words(board, pattern)
    for one in decoded(board, pattern):
        yield decoded_words(one)
    yield effect_words(board)
    yield f"pattern {pattern_text(pattern)}; {order_words(board).removeprefix('pattern ')}"


def explained_lines(
    ground: Ground, explained: Explained, turn: Turn, shown: tuple[tuple[Explanation, float], ...]
) -> Iterator[str]:
    """Yield what explains an address, likeliest first."""
    board = ground.board
    yield count_words(explained)
    if len(explained.best) > 1:
        look = deciding_look(ground, explained.best[0], explained.best[1])
        yield f"{tie_words(explained)} {look_words(board, look)}"
    for number, (one, share) in enumerate(shown, start=1):
        to_do = () if one.should_be is None else moves(one.set_pattern, one.should_be)
        should_be = "" if one.should_be is None else f", should be {pattern_text(one.should_be)}"
        yield ""
        yield f"{number}  {headlines(board, one)}  ({percent(share)})"
        yield f"   {why_words(board, one, explained)}"
        yield f"   set {pattern_text(one.set_pattern)}{should_be}"
        yield from (f"   {line}" for line in picture_lines(board, one.set_pattern, turn, {m.index for m in to_do}))
        if one in explained.best and one.should_be is not None and to_do:
            yield "   instead:"
            yield from (f"   {line}" for line in picture_lines(board, one.should_be, turn))
        yield f"   {instead_words(board, one, explained)}"
    hidden = len(explained.explanations) - len(shown)
    if hidden:
        yield ""
        yield f"{hidden} more {'pair' if hidden == 1 else 'pairs'} of mistakes with --all"
    headline, words = another_device_words(explained.found)
    yield ""
    yield f"-  {headline}  ({percent(explained.other_share)})"
    yield f"   {words}"


def shown_of(explained: Explained, *, is_all: bool) -> tuple[tuple[Explanation, float], ...]:
    """Return which explanations people see: all single ones, and the first pairs."""
    pairs = tuple(zip(explained.explanations, explained.shares, strict=True))
    if is_all:
        return pairs
    singles = tuple(one for one in pairs if len(one[0].mistakes) == 1)
    doubles = tuple(one for one in pairs if len(one[0].mistakes) > 1)
    return (*singles, *doubles[:PAIRS_SHOWN])


def percent(share: float) -> str:
    """Return a share; never 0 %."""
    return f"{share * 100:.0f} %" if share >= 0.01 else "below 1 %"

"""What the block says: picture, sum, notations, what each lever is called."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.switches.board import SYMBOLS, Board, Control, ControlKind, Pattern
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.notations import notations_of
from buswalk.domain.switches.picture import Sizes, picture_of
from buswalk.domain.switches.reading import ReadsAddress, decoded, read_pattern
from buswalk.domain.switches.seen import SeenLevers, seen_blocks
from buswalk.domain.switches.setting import SettingTable, moves
from buswalk.domain.switches.wording import decoded_words, listed, moves_words, reading_words, sum_words
from buswalk.ui.pages.switches.switches_state import BlockState, ControlState
from buswalk.ui.tones import Tone

SCREEN = Sizes(
    lever_mm=50.0,
    slot_mm=130.0,
    pitch_mm=70.0,
    margin_mm=10.0,
    inset_mm=3.0,
    dial_radius_mm=62.0,
    gap_mm=60.0,
    figure_mm=11.0,
    word_mm=9.5,
)
"""In pixels at 100 %: a lever is 50 x 130, a dial 124 across; the view scales the whole picture down where it must."""
SCREEN_COLUMN = Sizes(
    lever_mm=34.0,
    slot_mm=100.0,
    pitch_mm=42.0,
    margin_mm=8.0,
    inset_mm=3.0,
    dial_radius_mm=56.0,
    gap_mm=50.0,
    figure_mm=12.0,
    word_mm=11.0,
)
"""Levers above each other: there is less room downward, so they are drawn closer, and figures stay large."""
SMALL = Sizes(
    lever_mm=10.0,
    slot_mm=26.0,
    pitch_mm=14.0,
    margin_mm=3.0,
    inset_mm=1.0,
    dial_radius_mm=14.0,
    gap_mm=4.0,
    figure_mm=1.0,
    word_mm=1.0,
)
"""Beside a mistake: nothing is written there, so there is no room for it."""


@dataclass(frozen=True, slots=True)
class BlockFacts:
    """What the block is made of.

    Attributes:
        present: What is set now, as the user said; None where that is not told.
        trouble: Of what was typed last.
        nearest: To an address that cannot be.
    """

    table: SettingTable
    pattern: Pattern
    present: Pattern | None
    turn: Turn
    trouble: str
    nearest: tuple[int, ...]


def block_state(facts: BlockFacts) -> BlockState:
    """Return the block as it is shown."""
    board, pattern = facts.table.board, facts.pattern
    reading = read_pattern(board, pattern)
    is_address = isinstance(reading, ReadsAddress)
    to_do = () if facts.present is None else moves(facts.present, pattern)
    written = notations_of(reading.server_address) if isinstance(reading, ReadsAddress) else None
    summed = sum_words(board, pattern)
    return BlockState(
        picture=picture_of(board, pattern, facts.turn, [one.index for one in to_do], _screen_sizes(board, facts.turn)),
        controls=tuple(_control(board, i, pattern[i]) for i in range(len(board.controls))),
        sum_words=f"{summed}  →  {reading_words(reading)}",
        sum_tone=Tone.INK if is_address else Tone.DOUBT,
        moves=_moves(facts, to_do=moves_words(board, to_do)),
        decimal="" if written is None else written.decimal,
        hexadecimal="" if written is None else written.hexadecimal,
        binary="" if written is None else written.binary,
        on_caption="Dials show" if _is_all_dials(board) else "Levers ON",
        on_words=_on_words(board, pattern),
        others=tuple(_capital(decoded_words(one)) for one in decoded(board, pattern)),
        trouble=facts.trouble or ("" if is_address else _way_out(facts)),
        nearest=facts.nearest,
    )


def keys_words(board: Board) -> str:
    """Return the keys of the block in one line."""
    if _is_all_dials(board):
        last = SYMBOLS[max(one.positions for one in board.controls) - 1]
        return f"Left/Right: dial   Up/Down: turn   0 – {last}: set"
    levers = sum(one.kind is ControlKind.LEVER for one in board.controls)
    return f"Left/Right: lever   Space: flip   1 – {min(levers, 9)}: flip"


def _screen_sizes(board: Board, turn: Turn) -> Sizes:
    is_column = any(isinstance(one, SeenLevers) and not one.is_row for one in seen_blocks(board, turn))
    return SCREEN_COLUMN if is_column else SCREEN


def _moves(facts: BlockFacts, *, to_do: str) -> str:
    return "" if facts.present is None else _capital(f"{to_do} from what is set now.")


def _way_out(facts: BlockFacts) -> str:
    board = facts.table.board
    nearest = facts.table.nearest_pattern(facts.pattern)
    if nearest is None:
        return ""
    reading = read_pattern(board, nearest)
    return _capital(f"{moves_words(board, moves(facts.pattern, nearest))} for {reading_words(reading)}.")


def _control(board: Board, index: int, position: int) -> ControlState:
    control = board.controls[index]
    spoken = _spoken(board, control, position)
    return ControlState(index, control.label, position, control.positions, spoken, control.is_for_address)


def _spoken(board: Board, control: Control, position: int) -> str:
    if control.kind is ControlKind.DIAL:
        return f"Dial {control.label}, at {SYMBOLS[position]}, counts {control.adds_at(position)}"
    at = "ON" if position else "OFF"
    if control.is_for_address:
        adds = control.adds_at(position)
        return (
            f"Lever {control.label}, {at}, {f'counts {adds}' if adds else f'does not count, weighs {control.weight}'}"
        )
    kinds = [one.kind.value for one in board.meanings if control.label in one.of]
    return f"Lever {control.label}, {at}, {kinds[0] if kinds else 'meaning not told'}"


def _on_words(board: Board, pattern: Pattern) -> str:
    on = [one.label for one, at in zip(board.controls, pattern, strict=True) if one.kind is ControlKind.LEVER and at]
    shown = [SYMBOLS[at] for one, at in zip(board.controls, pattern, strict=True) if one.kind is ControlKind.DIAL]
    if _is_all_dials(board):
        return listed(shown)
    levers = ", ".join(on) or "none"
    return f"{levers}; dial {listed(shown)}" if shown else levers


def _is_all_dials(board: Board) -> bool:
    return all(one.kind is ControlKind.DIAL for one in board.controls)


def _capital(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}"

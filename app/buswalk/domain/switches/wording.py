"""What is said of switches on every screen, in commands and in print: one place, so that all say the same."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.switches.board import SYMBOLS, Board, ControlKind, Pattern, TakesEffect
from buswalk.domain.switches.meaning import MeaningKind
from buswalk.domain.switches.reading import Decoded, NoServerAddress, Reading, ReadsAddress, ReadsSpecial, decoded
from buswalk.domain.switches.setting import Move, SettingTable


def on_words(board: Board, pattern: Pattern) -> str:
    """Return which levers are ON and what the dials show: '1, 3 and 6 ON', 'x16 at 2, x1 at 5'."""
    parts: list[str] = []
    levers = [i for i, one in enumerate(board.controls) if one.kind is ControlKind.LEVER]
    if levers:
        on = [board.controls[i].label for i in levers if pattern[i]]
        parts.append(f"{listed(on)} ON" if on else "all levers OFF" if len(levers) > 1 else "OFF")
    parts += [
        f"{one.label} at {SYMBOLS[position]}"
        for one, position in zip(board.controls, pattern, strict=True)
        if one.kind is ControlKind.DIAL
    ]
    return ", ".join(parts)


def moves_words(board: Board, moves: Sequence[Move]) -> str:
    """Return what to do: 'flip 2 and 5', 'turn x16 to 2', 'nothing to move'."""
    levers = [board.controls[one.index].label for one in moves if board.controls[one.index].kind is ControlKind.LEVER]
    dials = [
        f"{board.controls[one.index].label} to {SYMBOLS[one.to]}"
        for one in moves
        if board.controls[one.index].kind is ControlKind.DIAL
    ]
    parts = [f"flip {listed(levers)}"] if levers else []
    parts += [f"turn {listed(dials)}"] if dials else []
    return ", ".join(parts) or "nothing to move"


def targets_words(board: Board, moves: Sequence[Move]) -> str:
    """Return where each is to go: '2 and 3 to OFF, 5 and 6 to ON', 'x16 to 0, x1 to E'."""
    off = [one for one in moves if board.controls[one.index].kind is ControlKind.LEVER and not one.to]
    on = [one for one in moves if board.controls[one.index].kind is ControlKind.LEVER and one.to]
    parts = [f"{listed([board.controls[one.index].label for one in off])} to OFF"] if off else []
    parts += [f"{listed([board.controls[one.index].label for one in on])} to ON"] if on else []
    parts += [
        f"{board.controls[one.index].label} to {SYMBOLS[one.to]}"
        for one in moves
        if board.controls[one.index].kind is ControlKind.DIAL
    ]
    return ", ".join(parts) or "nothing to move"


def sum_words(board: Board, pattern: Pattern) -> str:
    """Return the sum written out: '2 + 4 + 8 = 14, board adds 0', '2 x 16 + 5 x 1 = 37, board adds 1'."""
    counting = [
        (one, position) for one, position in zip(board.controls, pattern, strict=True) if one.adds_at(position) > 0
    ]
    terms = [
        f"{position} x {one.weight}" if one.kind is ControlKind.DIAL else str(one.weight) for one, position in counting
    ]
    total = board.sum_of(pattern)
    written = " + ".join(terms) or "0"
    shown = written if written == str(total) else f"{written} = {total}"
    base = "" if board.stored_base is None else f", stored base {board.stored_base}"
    return f"{shown}, board adds {board.adds}{base}"


def reading_words(reading: Reading) -> str:
    """Return what a pattern says: 'address 14', or why it is none."""
    match reading:
        case ReadsAddress(server_address):
            return f"address {server_address}"
        case NoServerAddress(number):
            return f"{number} is no server's address: servers have 1 to 247"
        case ReadsSpecial(special):
            return f"{special.kind.value}: {special.words}"


def not_possible_words(table: SettingTable, server_address: int) -> str:
    """Return why an address cannot be set, and the nearest possible ones."""
    possible = table.possible
    near = listed([str(one) for one in table.nearest(server_address)], "or")
    if not possible:
        return f"{server_address} cannot be set: this board has no pattern for any address"
    if server_address > possible[-1]:
        why = f"the highest here is {possible[-1]}"
    elif server_address < possible[0]:
        why = f"the lowest here is {possible[0]}"
    else:
        why = "no combination of these switches gives it, or it has another meaning here"
    return f"{server_address} cannot be set on this board: {why}; nearest: {near}"


def decoded_words(one: Decoded) -> str:
    """Return what other levers say: 'speed 19200 (7 and 8)', 'line end off (8)'."""
    of = listed(list(one.of))
    if one.kind is MeaningKind.NOTHING:
        return f"no use ({of})"
    word = "" if one.kind is MeaningKind.OTHER else f"{one.kind.value} "
    said = one.said or "as the description does not tell"
    unit = " baud" if one.kind is MeaningKind.SPEED and said.isdecimal() else ""
    return f"{word}{said}{unit} ({of})"


def all_decoded_words(board: Board, pattern: Pattern) -> str:
    """Return what all other levers say, empty where there are none."""
    return "; ".join(decoded_words(one) for one in decoded(board, pattern))


def effect_words(board: Board) -> str:
    """Return when a change is obeyed."""
    return "takes effect at once" if board.takes_effect is TakesEffect.AT_ONCE else "takes effect after power-up"


def order_words(board: Board) -> str:
    """Return in which order a pattern is written."""
    return f"pattern in the order {', '.join(one.label for one in board.controls)}; levers 1 = ON, 0 = OFF"


def listed(words: Sequence[str], joining: str = "and") -> str:
    """Return '1', '1 and 3', '1, 3 and 6'."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joining} {words[-1]}"

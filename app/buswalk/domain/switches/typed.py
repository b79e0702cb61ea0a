"""Addresses and patterns as people type them: 37, 0x25, 101001, on off on, dial digits."""

from __future__ import annotations

import re
from dataclasses import dataclass

from buswalk.domain.switches.board import SYMBOLS, Board, ControlKind, Pattern

_BETWEEN = re.compile(r"[\s,;.|/_-]+")
_NUMBER = re.compile(r"(?:0x([0-9a-f]{1,4})|0b([01]{1,16})|([0-9]{1,5}))", re.IGNORECASE)
_ON_WORDS = frozenset({"on", "1"})
_OFF_WORDS = frozenset({"off", "0"})


class NotUnderstood(Exception):
    """A text that says no address and no pattern.

    Attributes:
        sentence: What, and what can be written.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class TypedNumber:
    """An address, written as a number."""

    number: int


@dataclass(frozen=True, slots=True)
class TypedPattern:
    """Positions of the controls."""

    pattern: Pattern


def read_typed_address(text: str) -> int:
    """Return a number written in decimal, as 0x25 or as 0b100101; whether it can be an address is not looked at.

    Raises:
        NotUnderstood: It is none.
    """
    matched = _NUMBER.fullmatch(text.strip())
    if matched is None:
        raise NotUnderstood(f"'{text.strip()}' is no address: write 37, 0x25 or 0b100101")
    in_hex, in_binary, in_decimal = matched.groups()
    if in_hex:
        return int(in_hex, 16)
    return int(in_binary, 2) if in_binary else int(in_decimal)


def read_typed_pattern(board: Board, text: str, present: Pattern) -> TypedNumber | TypedPattern:
    """Return the positions that a text says, first printed number first; a number with 0x or 0b is an address.

    One sign (0, 1, or the digit of a dial) or word (on, off) a control; the controls that are not for the address may
    be left out, and then stay as in `present`.

    Raises:
        NotUnderstood: It says no pattern of this board.
    """
    plain = text.strip()
    if plain[:2].lower() in ("0x", "0b"):
        return TypedNumber(read_typed_address(plain))
    signs = _signs(board, plain)
    at = _controls_told(board, len(signs), text)
    pattern = list(present)
    for i, sign in zip(at, signs, strict=True):
        pattern[i] = _position(board, i, sign)
    return TypedPattern(tuple(pattern))


def _signs(board: Board, text: str) -> list[str]:
    words = [one for one in _BETWEEN.split(text.lower()) if one]
    if any(one in ("on", "off") for one in words):
        return words
    joined = "".join(words).upper()
    if not joined or any(sign not in SYMBOLS for sign in joined):
        raise NotUnderstood(f"'{text}' is no pattern: {_what_can_be_written(board)}")
    return list(joined)


def _controls_told(board: Board, count: int, text: str) -> tuple[int, ...]:
    if count == len(board.controls):
        return tuple(range(count))
    if count == len(board.address_controls):
        return board.address_controls
    raise NotUnderstood(f"'{text.strip()}' has {count} positions: {_what_can_be_written(board)}")


def _position(board: Board, index: int, sign: str) -> int:
    control = board.controls[index]
    if control.kind is ControlKind.LEVER:
        if sign in _ON_WORDS:
            return 1
        if sign in _OFF_WORDS:
            return 0
        raise NotUnderstood(f"lever {control.label} cannot be '{sign}': write 1 or 0, on or off")
    position = SYMBOLS.find(sign.upper()) if len(sign) == 1 else -1
    if not 0 <= position < control.positions:
        raise NotUnderstood(f"dial {control.label} has no '{sign}': write 0 to {SYMBOLS[control.positions - 1]}")
    return position


def _what_can_be_written(board: Board) -> str:
    total, address = len(board.controls), len(board.address_controls)
    count = str(total) if total == address else f"{total} (or the {address} for the address)"
    levers = [one for one in board.controls if one.kind is ControlKind.LEVER]
    example = "1 for ON and 0 for OFF" if levers else "a digit a dial"
    if levers and len(levers) < total:
        example = "1 or 0 a lever and a digit a dial"
    return f"write {count} signs, {example}, in the order {', '.join(one.label for one in board.controls)}"

"""What a pattern says: an address, no address that can be, or something special; and what its other levers mean."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.switches.board import SYMBOLS, Board, Pattern, pattern_text
from buswalk.domain.switches.meaning import MeaningKind, Special, SpecialKind


@dataclass(frozen=True, slots=True)
class ReadsAddress:
    """The device answers at this server address."""

    server_address: int


@dataclass(frozen=True, slots=True)
class NoServerAddress:
    """The sum is no server's address: 0, or above 247 (Serial Line V1.02, 2.2)."""

    number: int


@dataclass(frozen=True, slots=True)
class ReadsSpecial:
    """The pattern has a meaning of its own, and gives no address."""

    special: Special


Reading = ReadsAddress | NoServerAddress | ReadsSpecial


def read_pattern(board: Board, pattern: Pattern) -> Reading:
    """Return what a pattern says.

    Raises:
        ValueError: The board cannot be set so.
    """
    if not board.is_pattern(pattern):
        raise ValueError(f"{pattern} cannot be set on this board")
    signs = pattern_text(pattern) if board.specials else ""
    special = next((one for one in board.specials if one.fits(signs)), None)
    if special is not None and special.kind is not SpecialKind.ADDRESS:
        return ReadsSpecial(special)
    number = board.sum_of(pattern) + board.base if special is None else special.address or 0
    return ReadsAddress(number) if number in SERVER_ADDRESSES else NoServerAddress(number)


def address_of(board: Board, pattern: Pattern) -> int | None:
    """Return the server address, None where there is none."""
    match read_pattern(board, pattern):
        case ReadsAddress(server_address):
            return server_address
        case _:
            return None


@dataclass(frozen=True, slots=True)
class Decoded:
    """What levers that are not for the address say now; `said` is empty where the description does not tell."""

    kind: MeaningKind
    of: tuple[str, ...]
    said: str


def decoded(board: Board, pattern: Pattern) -> tuple[Decoded, ...]:
    """Return what the other levers say, in the order of the description."""
    return tuple(
        Decoded(
            one.kind,
            one.of,
            one.said_by("".join(SYMBOLS[pattern[board.index_of(label)]] for label in one.of)),
        )
        for one in board.meanings
    )

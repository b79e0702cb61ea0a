"""From an address to the switches: every pattern that gives it, the one with the fewest moves, and what is possible."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from itertools import product

from buswalk.domain.switches.board import Board, ControlKind, Pattern
from buswalk.domain.switches.meaning import SpecialKind
from buswalk.domain.switches.reading import address_of


@dataclass(frozen=True, slots=True)
class Move:
    """One control to be moved.

    Attributes:
        index: Of the control.
        to: The position that it is to have.
    """

    index: int
    to: int


class SettingTable:
    """All ways to set the address on one board, reckoned once."""

    def __init__(self, board: Board) -> None:
        self.board = board
        self._of_sum: dict[int, list[Pattern]] = {}
        self._has_own_addresses = any(one.kind is SpecialKind.ADDRESS for one in board.specials)
        at = board.address_controls
        rest = board.rest
        for positions in product(*(range(board.controls[i].positions) for i in at)):
            pattern = _with(rest, at, positions)
            self._of_sum.setdefault(board.sum_of(pattern), []).append(pattern)
        self._possible = self._addresses()

    @property
    def possible(self) -> tuple[int, ...]:
        """Every address that can be set with the other levers at rest, lowest first."""
        return self._possible

    def patterns(self, server_address: int, present: Pattern) -> tuple[Pattern, ...]:
        """Return every pattern that gives an address, fewest moves first; other levers stay as they are.

        Only where they forbid the address (a lever that says 'take it from the parameter') are they put to rest.
        """
        for others in (present, self.board.rest):
            found = [one for one in self._candidates(server_address, others) if self._gives(server_address, one)]
            if found:
                return tuple(sorted(found, key=lambda one: (len(moves(present, one)), sum(one), one)))
        return ()

    def pattern(self, server_address: int, present: Pattern) -> Pattern | None:
        """Return the pattern with the fewest moves; None where the address cannot be set."""
        return next(iter(self.patterns(server_address, present)), None)

    def pattern_of_sum(self, number: int, others: Pattern) -> Pattern | None:
        """Return the plainest pattern whose switches add up to a number, whatever it does; None if there is none."""
        plainest = min(self._of_sum.get(number, []), key=lambda one: (sum(one), one), default=None)
        return None if plainest is None else _others_of(plainest, self.board.address_controls, others)

    def nearest(self, server_address: int) -> tuple[int, ...]:
        """Return the possible addresses next to one that cannot be set: below and above, as far as there are."""
        below = [one for one in self._possible if one < server_address][-1:]
        above = [one for one in self._possible if one > server_address][:1]
        return (*below, *above)

    def nearest_pattern(self, present: Pattern) -> Pattern | None:
        """Return the pattern with the fewest moves from `present` that gives an address."""
        for others in (present, self.board.rest):
            valid = [one for one in self._with_others(others) if address_of(self.board, one) is not None]
            if valid:
                return min(valid, key=lambda one: (len(moves(present, one)), _steps(present, one), one))
        return None

    def _candidates(self, server_address: int, others: Pattern) -> Iterable[Pattern]:
        """Yield what may give an address: only special patterns can give one that is not their sum."""
        if self._has_own_addresses:
            yield from self._with_others(others)
            return
        at = self.board.address_controls
        for one in self._of_sum.get(server_address - self.board.base, []):
            yield _others_of(one, at, others)

    def _gives(self, server_address: int, pattern: Pattern) -> bool:
        return address_of(self.board, pattern) == server_address

    def _with_others(self, others: Pattern) -> Iterable[Pattern]:
        at = self.board.address_controls
        for patterns in self._of_sum.values():
            for one in patterns:
                yield _others_of(one, at, others)

    def _addresses(self) -> tuple[int, ...]:
        found = {address_of(self.board, one) for one in self._with_others(self.board.rest)}
        return tuple(sorted(one for one in found if one is not None))


def moves(present: Pattern, wanted: Pattern) -> tuple[Move, ...]:
    """Return what to move to get from one pattern to another, in the order of the controls."""
    return tuple(Move(i, to) for i, (now, to) in enumerate(zip(present, wanted, strict=True)) if now != to)


def flipped(board: Board, pattern: Pattern, index: int) -> Pattern:
    """Return the pattern with one lever flipped, or one dial turned to its next position."""
    return turned(board, pattern, index, 1)


def turned(board: Board, pattern: Pattern, index: int, steps: int) -> Pattern:
    """Return the pattern with one control moved on by so many positions, over the end to the other."""
    return put(pattern, index, (pattern[index] + steps) % board.controls[index].positions)


def put(pattern: Pattern, index: int, position: int) -> Pattern:
    """Return the pattern with one control at a position."""
    return (*pattern[:index], position, *pattern[index + 1 :])


def is_all_levers(board: Board) -> bool:
    """Whether the board has no dial."""
    return all(one.kind is ControlKind.LEVER for one in board.controls)


def _with(pattern: Pattern, at: tuple[int, ...], positions: tuple[int, ...]) -> Pattern:
    changed = list(pattern)
    for i, position in zip(at, positions, strict=True):
        changed[i] = position
    return tuple(changed)


def _others_of(pattern: Pattern, at: tuple[int, ...], others: Pattern) -> Pattern:
    """Return the address controls of one pattern with the other controls of another."""
    return _with(others, at, tuple(pattern[i] for i in at))


def _steps(present: Pattern, wanted: Pattern) -> int:
    return sum(abs(now - to) for now, to in zip(present, wanted, strict=True))

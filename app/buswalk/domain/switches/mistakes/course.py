"""How an address comes about: what was intended, what is set, and by which board it is read. What mistakes change."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Protocol

from buswalk.domain.switches.board import Board, ControlKind, LeverBlock, Pattern
from buswalk.domain.switches.mistakes.kinds import MistakeKind, Stage
from buswalk.domain.switches.reading import address_of
from buswalk.domain.switches.setting import SettingTable


@dataclass(frozen=True, slots=True)
class Course:
    """A way from an intended address to the one at which the device answers.

    Attributes:
        number: To which the switches were meant to add up.
        table: Of the board as it was taken to be.
        real: The board as it is.
        pattern: What is set on it.
        fixed: Where it answers although the switches say something else; None where they are obeyed.
    """

    intended: int
    number: int
    table: SettingTable
    real: Board
    pattern: Pattern
    fixed: int | None = None

    @property
    def described(self) -> Board:
        """The board as it was taken to be."""
        return self.table.board

    @property
    def answers_at(self) -> int | None:
        """The server address; None where the device would not answer as a server."""
        return address_of(self.real, self.pattern) if self.fixed is None else self.fixed


@dataclass(frozen=True, slots=True)
class Ground:
    """What mistakes may be made on.

    Attributes:
        table: Of the board as described.
        others: Other descriptions that it might be.
        previous: Where the device answered before it was set; None where nobody knows.
    """

    table: SettingTable
    others: tuple[Board, ...] = ()
    previous: int | None = None

    @property
    def board(self) -> Board:
        """The board as described."""
        return self.table.board


class Mistake(Protocol):
    """One thing that went wrong."""

    @property
    def kind(self) -> MistakeKind:
        """Which kind it is."""

    @property
    def stage(self) -> Stage:
        """When it was made."""

    @property
    def share(self) -> float:
        """How common this very mistake is, above 0."""

    def apply(self, course: Course) -> Course | None:
        """Return the course with this mistake; None where it changes nothing or cannot be made."""


def with_pattern(course: Course, pattern: Pattern | None) -> Course | None:
    """Return the course with another pattern, None where that is no other one."""
    return None if pattern is None or pattern == course.pattern else replace(course, pattern=pattern)


def with_sum(course: Course, number: int) -> Course | None:
    """Return the course with the switches set to add up to another number; None where they cannot."""
    pattern = course.table.pattern_of_sum(number, course.pattern)
    return None if pattern is None or number == course.number else replace(course, number=number, pattern=pattern)


def lever_runs(board: Board) -> tuple[tuple[int, ...], ...]:
    """Return the indices of the levers for the address, block by block, by printed number."""
    return tuple(
        tuple(i for i in board.address_controls if board.controls[i].block == at)
        for at, block in enumerate(board.blocks)
        if isinstance(block, LeverBlock) and any(one.weight for one in block.levers)
    )


def dial_runs(board: Board) -> tuple[tuple[int, ...], ...]:
    """Return the indices of the dials for the address, those of one size together, from left to right."""
    dials = [i for i in board.address_controls if board.controls[i].kind is ControlKind.DIAL]
    sizes = sorted({board.controls[i].positions for i in dials})
    return tuple(tuple(i for i in dials if board.controls[i].positions == size) for size in sizes)

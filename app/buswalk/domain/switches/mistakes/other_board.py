"""The board is of another description than it was taken for."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from buswalk.domain.switches.board import Board
from buswalk.domain.switches.mistakes.course import Course, Ground
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class OtherBoard:
    """What was set by one description is read by another.

    Attributes:
        board: As it would be.
    """

    board: Board
    share: float
    kind: MistakeKind = MistakeKind.OTHER_BOARD
    stage: Stage = Stage.BOARD

    def apply(self, course: Course) -> Course | None:
        """Let the other board read what is set."""
        return None if course.real is not course.described else replace(course, real=self.board)


def instances(ground: Ground) -> Iterator[OtherBoard]:
    """Yield one for each other description with the same levers and dials."""
    alike = [one for one in ground.others if one.shape == ground.board.shape and one.name != ground.board.name]
    for board in alike:
        yield OtherBoard(board, COMMON[MistakeKind.OTHER_BOARD] / len(alike))

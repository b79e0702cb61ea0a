"""The levers were counted from the other end."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.board import Board, Pattern
from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class ReadFromOtherEnd:
    """The first lever for the address was taken for the last, and so on."""

    share: float = COMMON[MistakeKind.READ_FROM_OTHER_END]
    kind: MistakeKind = MistakeKind.READ_FROM_OTHER_END
    stage: Stage = Stage.READING

    def apply(self, course: Course) -> Course | None:
        """Reverse the positions of each block."""
        return with_pattern(course, reversed_levers(course.described, course.pattern))


def reversed_levers(board: Board, pattern: Pattern) -> Pattern:
    """Return the pattern with the address levers of each block in reverse order."""
    changed = list(pattern)
    for run in lever_runs(board):
        for i, j in zip(run, reversed(run), strict=True):
            changed[i] = pattern[j]
    return tuple(changed)


def instances(ground: Ground) -> Iterator[ReadFromOtherEnd]:
    """Yield it where there are two levers for the address."""
    if any(len(run) > 1 for run in lever_runs(ground.board)):
        yield ReadFromOtherEnd()

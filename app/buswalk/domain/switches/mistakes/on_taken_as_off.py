"""ON was taken as OFF."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.board import Board, Pattern
from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class OnTakenAsOff:
    """Every lever for the address stands at its opposite."""

    share: float = COMMON[MistakeKind.ON_TAKEN_AS_OFF]
    kind: MistakeKind = MistakeKind.ON_TAKEN_AS_OFF
    stage: Stage = Stage.READING

    def apply(self, course: Course) -> Course | None:
        """Flip all address levers."""
        return with_pattern(course, inverted_levers(course.described, course.pattern))


def inverted_levers(board: Board, pattern: Pattern) -> Pattern:
    """Return the pattern with every address lever flipped."""
    changed = list(pattern)
    for run in lever_runs(board):
        for i in run:
            changed[i] = 1 - pattern[i]
    return tuple(changed)


def instances(ground: Ground) -> Iterator[OnTakenAsOff]:
    """Yield it where there are levers for the address."""
    if lever_runs(ground.board):
        yield OnTakenAsOff()

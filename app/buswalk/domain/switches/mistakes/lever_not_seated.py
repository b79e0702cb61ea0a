"""One lever does not make contact where it seems to stand, or was forgotten."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage
from buswalk.domain.switches.setting import flipped


@dataclass(frozen=True, slots=True)
class LeverNotSeated:
    """One lever reads as its opposite.

    Attributes:
        index: Of the control.
    """

    index: int
    share: float
    kind: MistakeKind = MistakeKind.LEVER_NOT_SEATED
    stage: Stage = Stage.HAND

    def apply(self, course: Course) -> Course | None:
        """Flip it."""
        return with_pattern(course, flipped(course.described, course.pattern, self.index))


def instances(ground: Ground) -> Iterator[LeverNotSeated]:
    """Yield one for each lever for the address."""
    levers = [i for run in lever_runs(ground.board) for i in run]
    for i in levers:
        yield LeverNotSeated(i, COMMON[MistakeKind.LEVER_NOT_SEATED] / len(levers))

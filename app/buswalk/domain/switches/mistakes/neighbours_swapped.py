"""Two levers side by side were taken for each other."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class NeighboursSwapped:
    """Two levers carry each other's position.

    Attributes:
        first, second: Indices of the controls.
    """

    first: int
    second: int
    share: float
    kind: MistakeKind = MistakeKind.NEIGHBOURS_SWAPPED
    stage: Stage = Stage.HAND

    def apply(self, course: Course) -> Course | None:
        """Exchange their positions."""
        changed = list(course.pattern)
        changed[self.first], changed[self.second] = changed[self.second], changed[self.first]
        return with_pattern(course, tuple(changed))


def instances(ground: Ground) -> Iterator[NeighboursSwapped]:
    """Yield one for each two levers of a block that are next to each other in number, and both for the address."""
    pairs = [(run[i], run[i + 1]) for run in lever_runs(ground.board) for i in range(len(run) - 1)]
    for first, second in pairs:
        yield NeighboursSwapped(first, second, COMMON[MistakeKind.NEIGHBOURS_SWAPPED] / len(pairs))

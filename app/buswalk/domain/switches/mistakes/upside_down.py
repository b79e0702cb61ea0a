"""The block was read upside down: from the other end, and ON as OFF."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage
from buswalk.domain.switches.mistakes.on_taken_as_off import inverted_levers
from buswalk.domain.switches.mistakes.read_from_other_end import reversed_levers


@dataclass(frozen=True, slots=True)
class UpsideDown:
    """Turning a board by half a turn changes both at once, so this is one mistake, not two."""

    share: float = COMMON[MistakeKind.UPSIDE_DOWN]
    kind: MistakeKind = MistakeKind.UPSIDE_DOWN
    stage: Stage = Stage.READING

    def apply(self, course: Course) -> Course | None:
        """Reverse and flip all address levers."""
        turned = inverted_levers(course.described, reversed_levers(course.described, course.pattern))
        return with_pattern(course, turned)


def instances(ground: Ground) -> Iterator[UpsideDown]:
    """Yield it where there are two levers for the address."""
    if any(len(run) > 1 for run in lever_runs(ground.board)):
        yield UpsideDown()

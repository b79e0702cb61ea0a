"""What the board adds was not taken off before the switches were set."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.mistakes.course import Course, Ground, with_sum
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class OffsetForgotten:
    """The address itself was set, though the board adds something to it."""

    share: float = COMMON[MistakeKind.OFFSET_FORGOTTEN]
    kind: MistakeKind = MistakeKind.OFFSET_FORGOTTEN
    stage: Stage = Stage.NUMBER

    def apply(self, course: Course) -> Course | None:
        """Set the switches to the whole address."""
        return with_sum(course, course.intended) if course.number != course.intended else None


def instances(ground: Ground) -> Iterator[OffsetForgotten]:
    """Yield it where something is added."""
    if ground.board.base:
        yield OffsetForgotten()

"""The base stored in the device is not what it was taken for."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.domain.switches.mistakes.course import Course, Ground
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class StoredBaseDiffers:
    """The parameter holds another number. With a base that nobody knows, this explains every higher address.

    Attributes:
        base: That it would have to hold.
    """

    base: int
    share: float = COMMON[MistakeKind.STORED_BASE_DIFFERS]
    kind: MistakeKind = MistakeKind.STORED_BASE_DIFFERS
    stage: Stage = Stage.BOARD

    def apply(self, course: Course) -> Course | None:
        """Let the real board add this base."""
        if course.real.stored_base is None or course.real.stored_base == self.base:
            return None
        return replace(course, real=replace(course.real, stored_base=self.base))


def that_explains(ground: Ground, course: Course, found: int) -> StoredBaseDiffers | None:
    """Return the one base with which what is set gives the address found; None where the board stores none."""
    board = ground.board
    if board.stored_base is None:
        return None
    base = found - board.sum_of(course.pattern) - board.adds
    return StoredBaseDiffers(base) if 0 <= base <= 255 and base != board.stored_base else None

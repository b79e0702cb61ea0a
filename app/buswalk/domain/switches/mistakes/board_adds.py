"""The board adds something else than described."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs
from buswalk.domain.switches.mistakes.kinds import ADDED_TO_DIALS, COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class BoardAddsOne:
    """The board adds one more than described."""

    share: float
    kind: MistakeKind = MistakeKind.BOARD_ADDS_ONE
    stage: Stage = Stage.BOARD

    def apply(self, course: Course) -> Course | None:
        """Let the real board add it."""
        if course.real.adds >= 255:
            return None
        return replace(course, real=replace(course.real, adds=course.real.adds + 1))


@dataclass(frozen=True, slots=True)
class BoardAddsNothing:
    """The board does not add what is described."""

    share: float = COMMON[MistakeKind.BOARD_ADDS_NOTHING]
    kind: MistakeKind = MistakeKind.BOARD_ADDS_NOTHING
    stage: Stage = Stage.BOARD

    def apply(self, course: Course) -> Course | None:
        """Let the real board add nothing."""
        return replace(course, real=replace(course.real, adds=0)) if course.real.adds else None


def instances(ground: Ground) -> Iterator[BoardAddsOne | BoardAddsNothing]:
    """Yield adding one for every board, adding nothing where something is added."""
    has_levers = bool(lever_runs(ground.board))
    yield BoardAddsOne(COMMON[MistakeKind.BOARD_ADDS_ONE] * (1.0 if has_levers else ADDED_TO_DIALS))
    if ground.board.adds:
        yield BoardAddsNothing()

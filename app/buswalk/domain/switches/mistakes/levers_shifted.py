"""All levers were set one or two places off, as when the count begins at another lever."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.board import Board, CountsWhen
from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage

_PART_OF = {1: 0.4, -1: 0.4, 2: 0.1, -2: 0.1}
"""How the share is split: one place is commoner than two."""

MOST_UNNOTICED = 1
"""Places by which a lever that counts may fall off the end unnoticed."""


@dataclass(frozen=True, slots=True)
class LeversShifted:
    """What was meant for one lever was done to another, always the same number of places away.

    What falls off the end is lost, and by two places that would be noticed; what comes in does not count.

    Attributes:
        by: Places towards higher printed numbers; negative the other way.
    """

    by: int
    share: float
    kind: MistakeKind = MistakeKind.LEVERS_SHIFTED
    stage: Stage = Stage.READING

    def apply(self, course: Course) -> Course | None:
        """Move all positions of each block."""
        board = course.described
        changed = list(course.pattern)
        for run in lever_runs(board):
            lost = run[-self.by :] if self.by > 0 else run[: -self.by]
            if abs(self.by) > MOST_UNNOTICED and any(course.pattern[i] != _not_counting(board, i) for i in lost):
                return None
            for place, i in enumerate(run):
                source = place - self.by
                is_inside = 0 <= source < len(run)
                changed[i] = course.pattern[run[source]] if is_inside else _not_counting(board, i)
        return with_pattern(course, tuple(changed))


def instances(ground: Ground) -> Iterator[LeversShifted]:
    """Yield one and two places each way, as far as a block has them."""
    longest = max((len(run) for run in lever_runs(ground.board)), default=0)
    for by, part in _PART_OF.items():
        if abs(by) < longest:
            yield LeversShifted(by, COMMON[MistakeKind.LEVERS_SHIFTED] * part)


def _not_counting(board: Board, index: int) -> int:
    return 0 if board.controls[index].counts_when is CountsWhen.ON else 1

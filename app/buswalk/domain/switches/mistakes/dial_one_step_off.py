"""A dial stands one step beside the digit that was meant."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.mistakes.course import Course, Ground, dial_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage
from buswalk.domain.switches.setting import turned


@dataclass(frozen=True, slots=True)
class DialOneStepOff:
    """One dial is turned one step too far or too little; past the last digit comes 0.

    Attributes:
        index: Of the control.
        step: 1 or -1.
    """

    index: int
    step: int
    share: float
    kind: MistakeKind = MistakeKind.DIAL_ONE_STEP_OFF
    stage: Stage = Stage.HAND

    def apply(self, course: Course) -> Course | None:
        """Turn it."""
        return with_pattern(course, turned(course.described, course.pattern, self.index, self.step))


def instances(ground: Ground) -> Iterator[DialOneStepOff]:
    """Yield both ways for each dial for the address."""
    dials = [i for run in dial_runs(ground.board) for i in run]
    for i in dials:
        for step in (1, -1):
            yield DialOneStepOff(i, step, COMMON[MistakeKind.DIAL_ONE_STEP_OFF] / (2 * len(dials)))

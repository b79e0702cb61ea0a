"""The digits of two dials were exchanged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from buswalk.domain.switches.mistakes.course import Course, Ground, dial_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class DigitsSwapped:
    """Two dials carry each other's digit.

    Attributes:
        first, second: Indices of the controls.
    """

    first: int
    second: int
    share: float
    kind: MistakeKind = MistakeKind.DIGITS_SWAPPED
    stage: Stage = Stage.READING

    def apply(self, course: Course) -> Course | None:
        """Exchange their digits."""
        changed = list(course.pattern)
        changed[self.first], changed[self.second] = changed[self.second], changed[self.first]
        return with_pattern(course, tuple(changed))


def instances(ground: Ground) -> Iterator[DigitsSwapped]:
    """Yield one for each two dials of one size."""
    pairs = [pair for run in dial_runs(ground.board) for pair in combinations(run, 2)]
    for first, second in pairs:
        yield DigitsSwapped(first, second, COMMON[MistakeKind.DIGITS_SWAPPED] / len(pairs))

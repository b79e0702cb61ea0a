"""ON was taken as OFF: by the hand that set the levers, or by the board."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from buswalk.domain.switches.board import Block, Board, CountsWhen, LeverBlock, Pattern
from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import BY_HAND, COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class OnTakenAsOff:
    """Every lever for the address stands at its opposite."""

    share: float = COMMON[MistakeKind.ON_TAKEN_AS_OFF] * BY_HAND
    kind: MistakeKind = MistakeKind.ON_TAKEN_AS_OFF
    stage: Stage = Stage.READING

    def apply(self, course: Course) -> Course | None:
        """Flip all address levers."""
        return with_pattern(course, inverted_levers(course.described, course.pattern))


@dataclass(frozen=True, slots=True)
class CountsTheOpposite:
    """What is set is right by the description, but a lever of this board counts at its other position."""

    share: float = COMMON[MistakeKind.ON_TAKEN_AS_OFF] * (1.0 - BY_HAND)
    kind: MistakeKind = MistakeKind.ON_TAKEN_AS_OFF
    stage: Stage = Stage.BOARD

    def apply(self, course: Course) -> Course | None:
        """Let the real board count the other position."""
        blocks = tuple(_opposite(block) for block in course.real.blocks)
        return replace(course, real=replace(course.real, blocks=blocks))


def inverted_levers(board: Board, pattern: Pattern) -> Pattern:
    """Return the pattern with every address lever flipped."""
    changed = list(pattern)
    for run in lever_runs(board):
        for i in run:
            changed[i] = 1 - pattern[i]
    return tuple(changed)


def instances(ground: Ground) -> Iterator[OnTakenAsOff | CountsTheOpposite]:
    """Yield both where there are levers for the address."""
    if lever_runs(ground.board):
        yield OnTakenAsOff()
        yield CountsTheOpposite()


def _opposite(block: Block) -> Block:
    if not isinstance(block, LeverBlock):
        return block
    other = CountsWhen.OFF if block.counts_when is CountsWhen.ON else CountsWhen.ON
    return replace(block, counts_when=other)

"""The levers were counted from the other end: by the hand that set them, or by the board."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from buswalk.domain.switches.board import Block, Board, LeverBlock, Pattern
from buswalk.domain.switches.mistakes.course import Course, Ground, lever_runs, with_pattern
from buswalk.domain.switches.mistakes.kinds import BY_HAND, COMMON, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class ReadFromOtherEnd:
    """The first lever for the address was taken for the last, and so on."""

    share: float = COMMON[MistakeKind.READ_FROM_OTHER_END] * BY_HAND
    kind: MistakeKind = MistakeKind.READ_FROM_OTHER_END
    stage: Stage = Stage.READING

    def apply(self, course: Course) -> Course | None:
        """Reverse the positions of each block."""
        return with_pattern(course, reversed_levers(course.described, course.pattern))


@dataclass(frozen=True, slots=True)
class CountsFromOtherEnd:
    """What is set is right by the description, but the board counts its levers the other way round."""

    share: float = COMMON[MistakeKind.READ_FROM_OTHER_END] * (1.0 - BY_HAND)
    kind: MistakeKind = MistakeKind.READ_FROM_OTHER_END
    stage: Stage = Stage.BOARD

    def apply(self, course: Course) -> Course | None:
        """Let the real board's address levers carry each other's weight."""
        blocks = tuple(_reversed_weights(block) for block in course.real.blocks)
        return None if blocks == course.real.blocks else replace(course, real=replace(course.real, blocks=blocks))


def reversed_levers(board: Board, pattern: Pattern) -> Pattern:
    """Return the pattern with the address levers of each block in reverse order."""
    changed = list(pattern)
    for run in lever_runs(board):
        for i, j in zip(run, reversed(run), strict=True):
            changed[i] = pattern[j]
    return tuple(changed)


def instances(ground: Ground) -> Iterator[ReadFromOtherEnd | CountsFromOtherEnd]:
    """Yield both where there are two levers for the address."""
    if any(len(run) > 1 for run in lever_runs(ground.board)):
        yield CountsFromOtherEnd()
        yield ReadFromOtherEnd()


def _reversed_weights(block: Block) -> Block:
    if not isinstance(block, LeverBlock):
        return block
    weights = [one.weight for one in block.levers if one.weight]
    levers = tuple(replace(one, weight=weights.pop()) if one.weight else one for one in block.levers)
    return replace(block, levers=levers)

"""The switches are right and the device does not obey them: change not taken yet, or still as delivered."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from buswalk.domain.switches.board import TakesEffect
from buswalk.domain.switches.mistakes.course import Course, Ground
from buswalk.domain.switches.mistakes.kinds import ANYTHING_FITS, COMMON, MistakeKind, Stage

USUAL_AS_DELIVERED = {1: 0.5, 247: 0.1}
"""Addresses at which devices are delivered, and their part of the share: common practice, no source."""
OWN_AS_DELIVERED = 1.0
TAKES_AT_ONCE = 0.5
"""Factor where a change is said to act at once."""


@dataclass(frozen=True, slots=True)
class ChangeNotTaken:
    """The device still answers where it did before.

    Attributes:
        previous: That address.
    """

    previous: int
    share: float
    kind: MistakeKind = MistakeKind.CHANGE_NOT_TAKEN
    stage: Stage = Stage.AFTERWARDS

    def apply(self, course: Course) -> Course | None:
        """Let it answer there."""
        return replace(course, fixed=self.previous)


@dataclass(frozen=True, slots=True)
class FactoryAddress:
    """The device answers as delivered, whatever the switches say.

    Attributes:
        server_address: As delivered.
    """

    server_address: int
    share: float
    kind: MistakeKind = MistakeKind.FACTORY_ADDRESS
    stage: Stage = Stage.AFTERWARDS

    def apply(self, course: Course) -> Course | None:
        """Let it answer there."""
        return replace(course, fixed=self.server_address)


def instances(ground: Ground) -> Iterator[ChangeNotTaken | FactoryAddress]:
    """Yield the previous address where it is known, and the addresses of delivery."""
    if ground.previous is not None:
        yield ChangeNotTaken(ground.previous, _share_of_not_taken(ground))
    own = ground.board.factory_address
    parts = USUAL_AS_DELIVERED if own is None else USUAL_AS_DELIVERED | {own: OWN_AS_DELIVERED}
    for server_address, part in parts.items():
        yield FactoryAddress(server_address, COMMON[MistakeKind.FACTORY_ADDRESS] * part)


def that_explains(ground: Ground, found: int) -> ChangeNotTaken | None:
    """Return what fits every address: not taken yet, from a previous address that nobody knows."""
    return None if ground.previous is not None else ChangeNotTaken(found, ANYTHING_FITS)


def _share_of_not_taken(ground: Ground) -> float:
    factor = TAKES_AT_ONCE if ground.board.takes_effect is TakesEffect.AT_ONCE else 1.0
    return COMMON[MistakeKind.CHANGE_NOT_TAKEN] * factor

"""Which look decides between two explanations of the same address."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.switches.explaining import Explanation
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.mistakes.kinds import MistakeKind
from buswalk.domain.switches.reading import address_of


@dataclass(frozen=True, slots=True)
class LookAt:
    """Look at one lever or dial: it stands at one position if the first is so, at another if the second is.

    Attributes:
        index: Of the control.
    """

    index: int
    if_first: int
    if_second: int


@dataclass(frozen=True, slots=True)
class SetAnother:
    """What is set is the same: set another address and see where the device answers.

    Attributes:
        server_address: To be set as the board is described.
    """

    server_address: int
    if_first: int
    if_second: int


@dataclass(frozen=True, slots=True)
class PowerCycle:
    """Take the power off and on, and ask again: a change that was not taken is taken then."""


@dataclass(frozen=True, slots=True)
class NothingDecides:
    """The same is set and the same board reads it: whichever it was, the same is to be done."""


Look = LookAt | SetAnother | PowerCycle | NothingDecides


def deciding_look(ground: Ground, first: Explanation, second: Explanation) -> Look:
    """Return what tells two explanations apart, the quickest first: looking costs less than setting."""
    for index, (if_first, if_second) in enumerate(zip(first.set_pattern, second.set_pattern, strict=True)):
        if if_first != if_second:
            return LookAt(index, if_first, if_second)
    if _waits_for_power(first) or _waits_for_power(second):
        return PowerCycle()
    if first.real == second.real:
        return NothingDecides()
    for server_address in ground.table.possible:
        pattern = ground.table.pattern(server_address, ground.board.rest)
        if pattern is None:
            continue
        one, other = address_of(first.real, pattern), address_of(second.real, pattern)
        if one is not None and other is not None and one != other:
            return SetAnother(server_address, one, other)
    return NothingDecides()


def _waits_for_power(explanation: Explanation) -> bool:
    kinds = {one.kind for one in explanation.mistakes}
    return bool(kinds & {MistakeKind.CHANGE_NOT_TAKEN, MistakeKind.FACTORY_ADDRESS})

"""What the places of quiet devices on the cable say: an open core, a plug or a supply, and between whom to look."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class BehindCut:
    """All from a place on are quiet, and somebody before it answers: the cable may be open between the two.

    Attributes:
        last_answering: Nearest before the place.
        first_quiet: First of those that went quiet.
        count: How many went quiet.
    """

    last_answering: int
    first_quiet: int
    count: int


@dataclass(frozen=True, slots=True)
class WholeLine:
    """Nobody answers any more: it is at the near end, the adapter, or the supply of all."""


@dataclass(frozen=True, slots=True)
class OnlyOne:
    """One alone is quiet, and somebody behind it answers: the cable passes it."""

    address: int
    answers_behind: int


@dataclass(frozen=True, slots=True)
class Together:
    """Some that follow each other are quiet, and somebody behind them answers: they share something else."""

    addresses: tuple[int, ...]
    answers_behind: int


@dataclass(frozen=True, slots=True)
class Apart:
    """Quiet ones with answering ones between them: one place on the cable does not explain it."""


@dataclass(frozen=True, slots=True)
class NoneQuiet:
    """Nobody whose place is known went quiet."""


CableCut: TypeAlias = BehindCut | WholeLine | OnlyOne | Together | Apart | NoneQuiet


def cable_cut(order: Sequence[int], answering: Set[int], quiet: Set[int]) -> CableCut:
    """Return what the places say.

    Args:
        order: Addresses along the cable from the client; who is neither answering nor quiet tells nothing.
        answering: Who answers now.
        quiet: Who went quiet.
    """
    told = [one for one in order if one in answering or one in quiet]
    at = [index for index, one in enumerate(told) if one in quiet]
    if not at:
        return NoneQuiet()
    if len(at) == len(told):
        return WholeLine()
    is_block = at[-1] - at[0] + 1 == len(at)
    if not is_block:
        return Apart()
    if at[-1] == len(told) - 1:
        return BehindCut(told[at[0] - 1], told[at[0]], len(at))
    behind = told[at[-1] + 1]
    if len(at) == 1:
        return OnlyOne(told[at[0]], behind)
    return Together(tuple(told[index] for index in at), behind)

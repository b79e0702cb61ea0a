"""What is shown of the cycle of a watch: what it is spent on, what would help, what it would be if. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BarLine:
    """Words, a bar, and the figure that it stands for.

    Attributes:
        share: Length of the bar, 0 to 1.
    """

    words: str
    share: float
    figure: str


@dataclass(frozen=True, slots=True)
class CycleChoice:
    """A list to choose one from."""

    words: tuple[str, ...] = ()
    chosen: int = 0


@dataclass(frozen=True, slots=True)
class WhatIfState:
    """The choices, and what the cycle would be with them; without a change nothing is told.

    Attributes:
        silent: Addresses as they were typed.
        bars: The cycle now and then, in the same scale.
    """

    speeds: CycleChoice = CycleChoice()
    time_outs: CycleChoice = CycleChoice()
    more: CycleChoice = CycleChoice()
    like: CycleChoice = CycleChoice()
    silent: str = ""
    problem: str = ""
    bars: tuple[BarLine, ...] = ()
    sentences: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class CycleState:
    """All of it.

    Attributes:
        cycle: Its length with its unit; '' while nothing is measured.
        told: What stands there instead, or what a cycle is.
        parts: What it is spent on, the longest first.
        helps: What would make it shorter, the most first, as bars of what is saved.
    """

    cycle: str = ""
    told: str = ""
    parts: tuple[BarLine, ...] = ()
    helps: tuple[BarLine, ...] = ()
    sentences: tuple[str, ...] = ()
    what_if: WhatIfState = WhatIfState()

"""A device that answers unplanned and may be a planned one that is silent: how its switches would explain it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from buswalk.ui.pages.find.search_board import SearchBoard
from buswalk.ui.pages.find.search_state import Act, Action, Step, StepsState
from buswalk.ui.pages.find.search_words import MOST_STEPS


@dataclass(frozen=True, slots=True)
class ExplainedStranger:
    """What one mistake in setting switches explains.

    Attributes:
        name: Of the planned device.
        intended, found: Where it was to answer, and what answers instead.
    """

    name: str
    intended: int
    found: int


def with_switches_step(
    steps: StepsState, board: SearchBoard, in_hand: int, explained: Callable[[], ExplainedStranger | None]
) -> StepsState:
    """Put it before all else to do, once the planned address is known to be silent.

    `explained` is asked only then: it takes its time. F7 stands on the button where the key leads to the same device.
    """
    silent = board.planned_silent()
    if board.run.phase.is_running or not silent:
        return steps
    one = explained()
    if one is None or one.intended not in silent:
        return steps
    is_same = in_hand in (0, one.intended, one.found)
    step = Step(
        f"{one.found} may be {one.name}, planned at {one.intended}",
        "A mistake in setting its switches leads there; see which.",
        Action(Act.SWITCHES, "Show switches", "F7" if is_same else "", address=one.found),
    )
    return replace(steps, steps=(step, *steps.steps)[:MOST_STEPS])

"""What the views Move and Bytes show. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.ui.pages.registers.frame_state import FrameState
from buswalk.ui.pages.registers.move_state import MoveOutcome, MoveState


@dataclass(frozen=True, slots=True)
class OtherWritesState:
    """Both views, and how the last move stands."""

    move: MoveState = field(default_factory=MoveState)
    outcome: MoveOutcome = field(default_factory=MoveOutcome)
    frame: FrameState = field(default_factory=FrameState)

"""Spans of a series without a value, and why there is none."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.domain.registers.samples import Quality


class WhyGap(Enum):
    """Why there is no value."""

    NO_REPLY = "no answer"
    REFUSED = "refused"
    NO_VALUE = "no value"
    NOT_ASKED = "not asked"
    """Nobody asked: paused, another job, the port gone."""


_WHY = {Quality.NO_REPLY: WhyGap.NO_REPLY, Quality.REFUSED: WhyGap.REFUSED, Quality.NO_VALUE: WhyGap.NO_VALUE}


def why_of(quality: Quality) -> WhyGap:
    """Return why a sample without a number has none."""
    return _WHY.get(quality, WhyGap.NO_VALUE)


@dataclass(frozen=True, slots=True)
class Gap:
    """No value from the first look that brought none to the next one that did.

    Attributes:
        ends_s: Of the look that brought a value again; of the last one without, as long as there is none.
        is_over: Whether a value came again.
    """

    begins_s: float
    ends_s: float
    why: WhyGap
    is_over: bool

    @property
    def seconds(self) -> float:
        """How long."""
        return self.ends_s - self.begins_s

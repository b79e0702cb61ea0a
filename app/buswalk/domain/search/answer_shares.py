"""What many answers of one address tell of two devices behind it: whole, damaged and double ones, turnarounds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

LEAST_OF_A_PEAK = 2
LEAST_APART_S = 0.004
APART_FACTOR = 0.35
"""Two peaks are further apart than that share of the smaller: turnarounds of one device spread too."""


@dataclass(frozen=True, slots=True)
class AnswerShares:
    """How often an address was asked the same once more, and what came.

    Attributes:
        damaged: Overlapping answers spoil each other; noise does too, but seldom at one address only.
        second: A second answer followed.
        turnarounds_s: One for a single peak, two where the answers fall into two groups; none where nothing was whole.
    """

    asked: int = 0
    whole: int = 0
    damaged: int = 0
    second: int = 0
    turnarounds_s: tuple[float, ...] = ()

    @property
    def is_of_one(self) -> bool:
        """Whether nothing that was counted tells of a second device."""
        return self.whole == self.asked and not self.damaged and not self.second and len(self.turnarounds_s) < 2


NOT_COUNTED = AnswerShares()


def turnaround_peaks_s(turnarounds_s: Sequence[float]) -> tuple[float, ...]:
    """Return the middle of the one or two groups into which turnarounds fall, in seconds."""
    ranked = sorted(turnarounds_s)
    if not ranked:
        return ()
    splits = range(LEAST_OF_A_PEAK, len(ranked) - LEAST_OF_A_PEAK + 1)
    split = max(splits, key=lambda place: ranked[place] - ranked[place - 1], default=0)
    if split and ranked[split] - ranked[split - 1] > max(LEAST_APART_S, APART_FACTOR * ranked[split - 1]):
        return _middle(ranked[:split]), _middle(ranked[split:])
    return (_middle(ranked),)


def _middle(ranked: Sequence[float]) -> float:
    return ranked[len(ranked) // 2]

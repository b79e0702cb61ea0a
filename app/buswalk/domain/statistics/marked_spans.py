"""Spans between two marks, such as from 'fan on' to 'fan off', and what was not clean inside and outside of them.

Which mark begins a span and which ends it is for people to say: words are not guessed at.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf

from buswalk.domain.statistics.two_by_two import TwoByTwo


@dataclass(frozen=True, slots=True)
class MarkedSpan:
    """From one mark to another of the same session, line time; `to_s` is infinite where no mark ends it.

    Raises:
        ValueError: It ends before it begins.
    """

    session: int
    from_s: float
    to_s: float = inf

    def __post_init__(self) -> None:
        if self.to_s < self.from_s:
            raise ValueError("a span cannot end before it begins")

    def holds(self, session: int, began_s: float, ended_s: float) -> bool:
        """Tell whether an exchange lies in it, from its sending to its end."""
        return session == self.session and self.from_s <= began_s and ended_s <= self.to_s

    def touches(self, session: int, began_s: float, ended_s: float) -> bool:
        """Tell whether any of an exchange lies in it."""
        return session == self.session and self.from_s <= ended_s and began_s <= self.to_s


class InsideCounter:
    """Counts exchanges inside and outside of spans; one that lies across an edge is counted apart."""

    def __init__(self, spans: Iterable[MarkedSpan]) -> None:
        self._spans = tuple(spans)
        self._inside = [0, 0]
        self._outside = [0, 0]
        self._across = 0

    def take(self, session: int, times_s: tuple[float, float], *, is_clean: bool) -> None:
        """Take one exchange; `times_s` are when it was sent and when it ended."""
        if any(one.holds(session, *times_s) for one in self._spans):
            self._inside[is_clean] += 1
        elif any(one.touches(session, *times_s) for one in self._spans):
            self._across += 1
        else:
            self._outside[is_clean] += 1

    @property
    def across(self) -> int:
        """Exchanges across an edge: it is not known on which side they belong."""
        return self._across

    def table(self) -> TwoByTwo:
        """Return the counts so far."""
        return TwoByTwo(self._inside[False], self._inside[True], self._outside[False], self._outside[True])

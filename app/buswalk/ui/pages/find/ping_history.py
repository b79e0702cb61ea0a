"""The pings of one device: the last minute in slots, and counts since it began. No words, no Qt."""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass

from buswalk.ui.outcome_kinds import OutcomeKind

SPAN_S = 60.0


@dataclass(frozen=True, slots=True)
class PingSeen:
    """One exchange: when, what came of it; turnaround in seconds as words."""

    at_s: float
    kind: OutcomeKind
    exception_code: int = 0
    turnaround: str = ""
    waited: str = ""


@dataclass(frozen=True, slots=True)
class MarkSeen:
    """A mark, and how many had been asked and answered by then."""

    at_s: float
    words: str
    asked_before: int
    answered_before: int


class PingHistory:
    """Takes exchanges in order."""

    def __init__(self, began_s: float) -> None:
        self.began_s = began_s
        self.last_minute: deque[PingSeen] = deque()
        self.marks: list[MarkSeen] = []
        self.counts: Counter[OutcomeKind] = Counter()
        self.last_answer: PingSeen | None = None

    def take(self, seen: PingSeen) -> None:
        """Take one exchange."""
        self.last_minute.append(seen)
        self.counts[seen.kind] += 1
        if seen.kind in (OutcomeKind.ANSWERED, OutcomeKind.REFUSED):
            self.last_answer = seen
        self.forget(seen.at_s)

    def mark(self, at_s: float, words: str) -> None:
        """Take a mark."""
        self.marks.append(MarkSeen(at_s, words, self.asked, self.answered))

    def forget(self, now_s: float) -> None:
        """Drop what is older than the span."""
        while self.last_minute and self.last_minute[0].at_s <= now_s - SPAN_S:
            self.last_minute.popleft()

    @property
    def asked(self) -> int:
        """So many requests, those that a stop cut off not counted."""
        return sum(number for kind, number in self.counts.items() if kind is not OutcomeKind.STOPPED)

    @property
    def answered(self) -> int:
        """So many of them were answered; a refusal is an answer."""
        return self.counts[OutcomeKind.ANSWERED] + self.counts[OutcomeKind.REFUSED]

    @property
    def last(self) -> PingSeen | None:
        """The last exchange."""
        return self.last_minute[-1] if self.last_minute else None

    def counts_of_minute(self) -> Counter[OutcomeKind]:
        """Counts of what is still in the span."""
        return Counter(one.kind for one in self.last_minute)

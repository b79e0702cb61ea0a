"""Which span of time the plots show: following the newest value, or held where somebody looks. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace

CHOICES_S = (240.0, 960.0, 3600.0)
WORDS = ("4 min", "16 min", "1 h", "all")
ALL = len(CHOICES_S)
SHORTEST_S = 2.0
ROOM_AFTER_SHARE = 0.01


@dataclass(frozen=True, slots=True)
class TimeWindow:
    """A span of line time.

    Attributes:
        choice: Which of WORDS is followed; -1 while it is held.
    """

    begins_s: float = 0.0
    ends_s: float = CHOICES_S[1]
    choice: int = 1

    @property
    def seconds(self) -> float:
        """How long."""
        return self.ends_s - self.begins_s

    @property
    def is_following(self) -> bool:
        """Whether it goes with the newest value."""
        return self.choice >= 0

    def followed(self, first_s: float, last_s: float) -> TimeWindow:
        """Return where it is now that values go from `first_s` to `last_s`; held ones stay."""
        if not self.is_following:
            return self
        if self.choice == ALL:
            return TimeWindow(first_s, max(last_s, first_s + SHORTEST_S), ALL)
        length = CHOICES_S[self.choice]
        # As long as there is less, it begins with the first value: nothing jumps while the room fills.
        ends_s = max(last_s + ROOM_AFTER_SHARE * length, first_s + length)
        return TimeWindow(ends_s - length, ends_s, self.choice)

    def chosen(self, choice: int) -> TimeWindow:
        """Follow this choice from now on."""
        return replace(self, choice=choice)

    def panned(self, share: float) -> TimeWindow:
        """Move by a share of its length; it is held from then on."""
        by_s = share * self.seconds
        return TimeWindow(self.begins_s + by_s, self.ends_s + by_s, -1)

    def zoomed(self, factor: float, around_s: float, longest_s: float) -> TimeWindow:
        """Show `factor` times the time, the moment `around_s` staying where it is; held from then on."""
        length = min(max(self.seconds * factor, SHORTEST_S), max(longest_s, SHORTEST_S))
        share = (around_s - self.begins_s) / self.seconds
        begins_s = around_s - share * length
        return TimeWindow(begins_s, begins_s + length, -1)

    def holding(self, time_s: float) -> TimeWindow:
        """Return it moved as little as needed to show a moment."""
        if time_s < self.begins_s:
            return self.panned((time_s - self.begins_s) / self.seconds - 0.1)
        if time_s > self.ends_s:
            return self.panned((time_s - self.ends_s) / self.seconds + 0.1)
        return self


FIRST = TimeWindow()
"""Before there is any value."""

"""Collects, between two looks, what came outside of exchanges: late replies and bytes that nothing explains."""

from __future__ import annotations

from buswalk.domain.line_events import LateReply, LineEvent, StrayArrival

HEARD_BYTES = 16


class Evidence:
    """A sink of line events."""

    def __init__(self) -> None:
        self._late: list[LateReply] = []
        self._has_strays = False
        self.heard_at_s = float("inf")
        """When the first bytes since the last look were handed over, in seconds of line time."""
        self.heard = b""
        """The first of those bytes."""

    def __call__(self, event: LineEvent) -> None:
        """Take an event; exchanges themselves are not kept."""
        match event:
            case LateReply():
                self._late.append(event)
            case StrayArrival(arrival):
                self._has_strays = True
                self.heard_at_s = min(self.heard_at_s, arrival.not_after_s)
                self.heard = (self.heard + arrival.data)[:HEARD_BYTES]
            case _:
                pass

    def take_late(self) -> tuple[LateReply, ...]:
        """Return late replies since the last look."""
        late, self._late = tuple(self._late), []
        return late

    def take_strays(self) -> bool:
        """Tell whether bytes came between exchanges since the last look."""
        had, self._has_strays = self._has_strays, False
        self.heard_at_s, self.heard = float("inf"), b""
        return had

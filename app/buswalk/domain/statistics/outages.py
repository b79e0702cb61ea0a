"""Longest outage: from the first request that nothing right answered to the next that was answered."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Outage:
    """A stretch without an answer, line time.

    It lasted at least from the sending of the first unanswered request to the end of the last one, and at most from
    the last answer before to the first behind.

    Attributes:
        requests: So many in it, none answered; 0 where there was no outage.
        is_over: False where the record, or the session, ends in it.
    """

    session: int = 0
    from_s: float = 0.0
    to_s: float = 0.0
    requests: int = 0
    is_over: bool = True

    @property
    def seconds(self) -> float:
        """From its first request to the first answer behind it, or to its last known moment."""
        return self.to_s - self.from_s


NO_OUTAGE = Outage()


class OutageFinder:
    """Takes the exchanges of one server in order; a session's end ends an outage without its being over."""

    def __init__(self) -> None:
        self._longest = NO_OUTAGE
        self._present = NO_OUTAGE

    def answered(self, at_s: float) -> None:
        """Take an exchange that was answered; `at_s` is when its request was sent."""
        if self._present.requests:
            present = self._present
            over = Outage(present.session, present.from_s, max(at_s, present.to_s), present.requests)
            self._present = NO_OUTAGE
            self._longest = max(self._longest, over, key=_length)

    def unanswered(self, session: int, began_s: float, ended_s: float) -> None:
        """Take an exchange that was not."""
        present = self._present
        from_s = present.from_s if present.requests else began_s
        self._present = Outage(session, from_s, ended_s, present.requests + 1, is_over=False)

    def session_ended(self) -> None:
        """Say that nobody asks from here on."""
        self._longest = self.longest()
        self._present = NO_OUTAGE

    def longest(self) -> Outage:
        """Return the longest so far, the present one included."""
        return max(self._longest, self._present, key=_length)


def _length(outage: Outage) -> tuple[float, int]:
    return outage.seconds, outage.requests

"""Reckons when what we hand over is on the line: behind what was handed over before, and not before the write."""

from __future__ import annotations

from buswalk.domain.line.sent import Sent


class SendingTimes:
    """Keeps the end of what was handed over last. It assumes that nothing else is in the sender's queue."""

    def __init__(self, start_uncertainty_s: float) -> None:
        """Take how much later than handed over the sender may begin, at the most."""
        self._start_uncertainty_s = start_uncertainty_s
        self._end_not_before_s = 0.0
        self._end_not_after_s = 0.0

    def sent(self, before_s: float, after_s: float, duration_s: float) -> Sent:
        """Return the times of bytes handed over in a call between these two moments.

        On the line they follow the earlier ones without a gap if these are not out yet:

            call        |b--a|
            earlier  ......########
            these                  ############
        """
        begin_s = max(before_s, self._end_not_before_s)
        latest_begin_s = max(after_s + self._start_uncertainty_s, self._end_not_after_s)
        self._end_not_before_s = begin_s + duration_s
        self._end_not_after_s = latest_begin_s + duration_s
        return Sent(begin_s, self._end_not_before_s, self._end_not_after_s)

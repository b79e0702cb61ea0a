"""Line time between batches: counts on from the last one as the line's time passes."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.messages import Batch


class LineClock:
    """Holds the time of the last batch."""

    def __init__(self, real_now_s: Callable[[], float]) -> None:
        self._real_now_s = real_now_s
        self._line_s = 0.0
        self._taken_s = real_now_s()
        self._factor = 0.0

    def take(self, batch: Batch) -> None:
        """Begin again from a batch."""
        self._line_s = batch.line_time_s
        self._taken_s = self._real_now_s()
        self._factor = batch.factor if batch.is_walking else 0.0

    def now_s(self) -> float:
        """Return the line time that it is now, as far as can be told here."""
        return self._line_s + (self._real_now_s() - self._taken_s) * self._factor

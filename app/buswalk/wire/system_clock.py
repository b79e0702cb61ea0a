"""Line time of a real port: the monotonic clock of this computer, from when the clock was made."""

from __future__ import annotations

import time


class SystemClock:
    """Seconds since it was made; never backwards."""

    def __init__(self) -> None:
        self._start_s = time.perf_counter()

    def now_s(self) -> float:
        """Present line time."""
        return time.perf_counter() - self._start_s

    def sleep_until(self, time_s: float) -> None:
        """Wait until then."""
        remaining_s = time_s - self.now_s()
        if remaining_s > 0:
            time.sleep(remaining_s)

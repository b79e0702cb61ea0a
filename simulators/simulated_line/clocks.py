"""Clocks over a timeline: one that jumps, and one that jumps and then waits so that people can watch."""

from __future__ import annotations

from collections.abc import Callable

from simulated_line.timeline import Timeline


class VirtualClock:
    """Line time that jumps. It stands while nobody waits."""

    def __init__(self, timeline: Timeline) -> None:
        self._timeline = timeline

    def now_s(self) -> float:
        """Present line time."""
        return self._timeline.now_s()

    def sleep_until(self, time_s: float) -> None:
        """Jump to `time_s`."""
        self._timeline.run_until(time_s)

    def keep_pace(self) -> None:
        """Nothing to wait for."""


class PacedClock:
    """The virtual clock slowed down to `factor` times real speed.

    It jumps as the virtual one does, then sleeps until real start + line time / factor. Our own
    computing time never enters a stamp, and falling behind is not made up for: it only slows.

    Raises:
        ValueError: The factor is not above zero.
    """

    def __init__(
        self,
        timeline: Timeline,
        factor: float,
        real_now_s: Callable[[], float],
        real_sleep_s: Callable[[float], None],
    ) -> None:
        self._timeline = timeline
        self._real_now_s = real_now_s
        self._real_sleep_s = real_sleep_s
        self._factor = 1.0
        self._real_start_s = 0.0
        self.set_factor(factor)

    @property
    def factor(self) -> float:
        """How many times real speed."""
        return self._factor

    def set_factor(self, factor: float) -> None:
        """Pass so many times as fast from now on; line time does not jump.

        Raises:
            ValueError: It is not above zero.
        """
        if factor <= 0:
            raise ValueError(f"a clock paced by {factor} never moves")
        self._factor = factor
        self._real_start_s = self._real_now_s() - self._timeline.now_s() / factor

    def now_s(self) -> float:
        """Present line time."""
        return self._timeline.now_s()

    def sleep_until(self, time_s: float) -> None:
        """Jump to `time_s`, then wait in real time."""
        self._timeline.run_until(time_s)
        self.keep_pace()

    def keep_pace(self) -> None:
        """Wait until real time has come to where line time is; fallen behind, start the count anew."""
        due_s = self._real_start_s + self._timeline.now_s() / self._factor
        ahead_s = due_s - self._real_now_s()
        if ahead_s > 0:
            self._real_sleep_s(ahead_s)
        else:
            self._real_start_s -= ahead_s

    def walk(self) -> None:
        """Bring line time to where real time is: this clock goes on while no job runs."""
        line_s = (self._real_now_s() - self._real_start_s) * self._factor
        self._timeline.run_until(max(line_s, self._timeline.now_s()))

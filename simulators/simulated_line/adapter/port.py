"""The adapter as the computer lists it: under a name, held by another program, gone, or back under another name."""

from __future__ import annotations

from buswalk.domain.line.port_error import PortError, PortProblem
from simulated_line.adapter.adapter_habits import AdapterHabits
from simulated_line.timeline import Timeline


class Port:
    """Knows under which name the adapter can be opened now. The name it is first opened under is the one it has."""

    def __init__(self, timeline: Timeline, habits: AdapterHabits) -> None:
        self._timeline = timeline
        self._habits = habits
        self._first_name = ""

    @property
    def is_there(self) -> bool:
        """Whether the adapter is plugged in."""
        now_s, pulled_s = self._timeline.now_s(), self._habits.unplugged_from_s
        return not pulled_s <= now_s < pulled_s + self._habits.back_after_s

    def listed(self) -> tuple[str, ...]:
        """Return the names that a list of ports shows now: one, or none while the adapter is away."""
        if not self.is_there or not self._first_name:
            return ()
        return (self._present_name(),)

    def require(self, name: str) -> None:
        """Go on if the adapter can be opened under a name.

        Raises:
            PortError: Missing or busy.
        """
        if not self.is_there:
            raise PortError(name, PortProblem.MISSING, f"{name} is not there: plug the adapter in")
        if self._timeline.now_s() < self._habits.busy_until_s:
            raise PortError(name, PortProblem.BUSY, f"{name} is held by another program: end that one")
        if not self._first_name:
            self._first_name = name
        present = self._present_name()
        if name != present and name == self._first_name:
            raise PortError(name, PortProblem.MISSING, f"{name} is not there: the adapter came back as {present}")

    def _present_name(self) -> str:
        is_back = self._timeline.now_s() >= self._habits.unplugged_from_s + self._habits.back_after_s
        return self._habits.back_as if is_back and self._habits.back_as else self._first_name

"""The wish of a user that a job ends, looked at by the job itself."""

from __future__ import annotations

from buswalk.jobs.asking.stopped import Stopped


class StopRequest:
    """Set from a signal or another thread; raised once inside the job's next wait."""

    def __init__(self) -> None:
        self._is_set = False
        self._was_raised = False

    @property
    def is_set(self) -> bool:
        """Whether somebody asked to stop."""
        return self._is_set

    def set(self) -> None:
        """Ask to stop."""
        self._is_set = True

    def check(self) -> None:
        """Raise `Stopped` the first time after it was set: who catches it may still wait to end in order."""
        if self._is_set and not self._was_raised:
            self._was_raised = True
            raise Stopped

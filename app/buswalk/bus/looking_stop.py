"""A stop request that looks at what has arrived meanwhile, so that a job's waits are where the engine is reached."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.stop_request import StopRequest


class LookingStop(StopRequest):
    """Looks at waiting commands whenever the job looks at the stop request; renewed for each job."""

    def __init__(self, look: Callable[[], None]) -> None:
        super().__init__()
        self._look = look

    def check(self) -> None:
        """Carry out what can be done meanwhile, then stop if that was asked for."""
        self._look()
        super().check()

    def renew(self) -> None:
        """A stop that came before a job began is not for it."""
        super().__init__()

"""The lock on writing: shut until somebody says why it is opened, and shut again after five minutes by the wall.

What it gives is leave for one frame, byte for byte, to be sent once. Nothing is opened for a device or for a time in
which anything may be sent: each value asks again.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

from buswalk.jobs.asking.write_guard import Consents, GuardRefusal, confirmed_twice, consent_to

OPEN_FOR_S = 300.0
LOCKED_WORDS = "writing is locked: unlock it and say why"


class WriteLeave:
    """Leave to send this frame once. Made by a lock only."""

    def __init__(self, frame: bytes, consents: Consents) -> None:
        self._frame = frame
        self._is_spent = False
        self.consents = consents

    def spend(self, frame: bytes) -> None:
        """Use it up.

        Raises:
            GuardRefusal: It was for other bytes, or has been used.
        """
        if frame != self._frame:
            raise GuardRefusal("leave was given for other bytes than these: one value at a time")
        if self._is_spent:
            raise GuardRefusal("leave was given for one sending, and it has been sent")
        self._is_spent = True


@dataclass(frozen=True, slots=True)
class Shut:
    """Nothing can be written."""


@dataclass(frozen=True, slots=True)
class Open:
    """Values can be written one at a time for so many seconds by the wall."""

    reason: str
    left_s: float


LockState: TypeAlias = Shut | Open


class WriteLock:
    """One for each session; `real_now_s` counts seconds of the wall, also where line time jumps or is hurried."""

    def __init__(self, real_now_s: Callable[[], float]) -> None:
        self._real_now_s = real_now_s
        self._consents = Consents()
        self._until_s = float("-inf")

    @property
    def state(self) -> LockState:
        """How it stands now."""
        left_s = self._until_s - self._real_now_s()
        # A clock that was set back must not keep it open for longer than was said.
        if self._consents.write is None or not 0.0 < left_s <= OPEN_FOR_S:
            return Shut()
        return Open(self._consents.write.reason, left_s)

    def unlock(self, reason: str) -> None:
        """Open it for five minutes.

        Raises:
            GuardRefusal: The reason says nothing.
        """
        self._consents = Consents(write=consent_to(reason))
        self._until_s = self._real_now_s() + OPEN_FOR_S

    def lock(self) -> None:
        """Shut it."""
        self._consents = Consents()

    def leave_for(self, frame: bytes) -> WriteLeave:
        """Return leave to send this frame, address and check sum included, once.

        Raises:
            GuardRefusal: It is shut.
        """
        return WriteLeave(frame, self._open_consents())

    def leave_confirmed_twice(self, frame: bytes, words: str) -> WriteLeave:
        """Return leave for what also needs a second confirmation; `words` are those that were confirmed.

        Raises:
            GuardRefusal: It is shut.
        """
        return WriteLeave(frame, confirmed_twice(self._open_consents(), words))

    def _open_consents(self) -> Consents:
        if isinstance(self.state, Shut):
            raise GuardRefusal(LOCKED_WORDS)
        return self._consents

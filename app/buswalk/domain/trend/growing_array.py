"""An array that grows at its end in amortised constant time."""

from __future__ import annotations

from typing import Any, Generic, TypeVar

import numpy as np
from numpy.typing import DTypeLike, NDArray

Item = TypeVar("Item", bound=np.generic)
FIRST_ROOM = 256


class GrowingArray(Generic[Item]):
    """Numbers of one kind."""

    def __init__(self, kind: DTypeLike) -> None:
        self._room: NDArray[Any] = np.empty(FIRST_ROOM, dtype=kind)
        self._length = 0

    def __len__(self) -> int:
        return self._length

    @property
    def values(self) -> NDArray[Item]:
        """What is in it, as a view: it does not follow later growth."""
        return self._room[: self._length]

    @property
    def last(self) -> float:
        """The last value."""
        assert self._length
        return float(self._room[self._length - 1])

    def extend(self, values: NDArray[Item]) -> None:
        """Put values at the end."""
        needed = self._length + len(values)
        if needed > len(self._room):
            self._make_room(needed)
        self._room[self._length : needed] = values
        self._length = needed

    def append(self, value: float) -> None:
        """Put one value at the end."""
        if self._length == len(self._room):
            self._make_room(self._length + 1)
        self._room[self._length] = value
        self._length += 1

    def replace_last(self, value: Item) -> None:
        """Put another value in place of the last one."""
        assert self._length
        self._room[self._length - 1] = value

    def _make_room(self, needed: int) -> None:
        room = np.empty(max(needed, 2 * len(self._room)), dtype=self._room.dtype)
        room[: self._length] = self._room[: self._length]
        self._room = room

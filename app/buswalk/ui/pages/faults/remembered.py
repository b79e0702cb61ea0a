"""Keeps what was made of some values until one of them is another object: what has not changed is not made again."""

from __future__ import annotations

from collections.abc import Callable
from typing import Generic, TypeVar

Made = TypeVar("Made")


class Remembered(Generic[Made]):
    """One thing made of the latest values."""

    def __init__(self) -> None:
        self._of: tuple[object, ...] = (object(),)
        self._made: Made | None = None

    def made(self, of: tuple[object, ...], make: Callable[[], Made]) -> Made:
        """Return what `make` made of these very values."""
        is_same = len(of) == len(self._of) and all(
            one is other or (isinstance(one, int | float | str | tuple) and one == other)
            for one, other in zip(of, self._of, strict=True)
        )
        if self._made is None or not is_same:
            self._of, self._made = of, make()
        return self._made

"""How much one request may ask for: a limit of the device's own, told apart from addresses that are not there."""

from __future__ import annotations


class ReadLimit:
    """Between what was read in one request and what was refused although every address of it can be read."""

    def __init__(self, largest_quantity: int) -> None:
        self._read = 0
        self._allowed = largest_quantity
        self._refused = largest_quantity + 1

    @property
    def read(self) -> int:
        """The largest quantity that was read in one request."""
        return self._read

    @property
    def usable(self) -> int:
        """The largest quantity that nothing speaks against."""
        return self._refused - 1

    @property
    def refused(self) -> int:
        """The least quantity that was refused for being so much; 0 if there was none."""
        return self._refused if self._refused <= self._allowed else 0

    def was_read(self, quantity: int) -> None:
        """Note a reply."""
        self._read = max(self._read, quantity)
        self._refused = max(self._refused, self._read + 1)

    def was_too_much(self, quantity: int) -> None:
        """Note that so much was refused for being so much."""
        if quantity > self._read:
            self._refused = min(self._refused, quantity)

"""One burst on the pair as the segment keeps it: who drives, from when to when, with which toggles."""

from __future__ import annotations

from dataclasses import dataclass

from simulated_line.pair.place import Place
from simulated_line.station import Burst


@dataclass(frozen=True, slots=True)
class Transmission:
    """A burst at its time.

    Attributes:
        order: Counts the transmissions of this segment.
        begin_s: First start bit.
        data_end_s: End of the last stop bit.
        drives_from_s, drives_until_s: When the driver is on; before and after it the pair floats.
        toggles: Absolute times, ascending; the burst begins and ends at mark.
        strength: Decides where the stronger driver wins.
        is_swapped: Its two wires are exchanged.
        is_sound: Nothing about the burst itself differs from the ideal, so a receiver may take its
            bytes without looking at bits.
    """

    order: int
    sender: str
    place: Place
    burst: Burst
    begin_s: float
    data_end_s: float
    drives_from_s: float
    drives_until_s: float
    toggles: tuple[float, ...]
    strength: float
    is_swapped: bool
    is_sound: bool

    @property
    def ends_s(self) -> float:
        """When nothing of it is left on the pair: neither data nor a driver."""
        return max(self.drives_until_s, self.data_end_s)

    def level_at_index(self, index: int) -> int:
        """Level driven behind so many toggles."""
        level = 1 ^ (index & 1)
        return level ^ 1 if self.is_swapped else level

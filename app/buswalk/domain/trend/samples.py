"""Many samples of one point as arrays."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.record_samples import QUALITIES, SampleColumns
from buswalk.domain.registers.samples import Quality

CODES = {quality: code for code, quality in enumerate(QUALITIES)}

Numbers = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """A span of a series; arrays of one length, in order of time. NaN where there is no value."""

    times_s: Numbers
    numbers: Numbers
    codes: NDArray[np.uint8]

    def __post_init__(self) -> None:
        if not len(self.times_s) == len(self.numbers) == len(self.codes):
            raise ValueError("every sample has a time, a number and a quality")

    def __len__(self) -> int:
        return len(self.times_s)

    @property
    def trusted(self) -> Samples:
        """Only those with a number that is not in doubt."""
        keep = ~np.isnan(self.numbers) & (self.codes != CODES[Quality.DOUBTFUL])
        return Samples(self.times_s[keep], self.numbers[keep], self.codes[keep])

    @property
    def missing(self) -> int:
        """How many looks brought no number."""
        return int(np.isnan(self.numbers).sum())

    def is_doubtful(self, place: int) -> bool:
        """Whether a number may be an old one, or is one that cannot be."""
        return self.codes[place] in (CODES[Quality.DOUBTFUL], CODES[Quality.OUT_OF_RANGE])

    def between(self, begins_s: float, ends_s: float) -> Samples:
        """Return those of a span of time, both ends included."""
        first = int(np.searchsorted(self.times_s, begins_s, "left"))
        last = int(np.searchsorted(self.times_s, ends_s, "right"))
        return Samples(self.times_s[first:last], self.numbers[first:last], self.codes[first:last])

    def last(self, count: int) -> Samples:
        """Return the last ones."""
        return Samples(self.times_s[-count:], self.numbers[-count:], self.codes[-count:])


def samples_of(columns: SampleColumns) -> Samples:
    """Return what a record told as arrays; nothing is copied but the times."""
    return Samples(
        np.frombuffer(columns.times_ns, dtype="<i8") / 1e9,
        np.frombuffer(columns.numbers, dtype="<f8"),
        np.frombuffer(columns.codes, dtype=np.uint8),
    )


def good_samples(times_s: Numbers, numbers: Numbers) -> Samples:
    """Return samples that nothing is wrong with; NaN counts as no reply."""
    codes = np.where(np.isnan(numbers), CODES[Quality.NO_REPLY], CODES[Quality.GOOD]).astype(np.uint8)
    return Samples(np.asarray(times_s, dtype=np.float64), np.asarray(numbers, dtype=np.float64), codes)

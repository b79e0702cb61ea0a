"""The samples of one exchange as columns of one row, and back.

One row an exchange and not one a sample: rows of a hundred points in order of point would touch a hundred pages of the
file for each exchange. In the row, each sample has its place in packed columns:

    numbers    eight bytes each, 64-bit float, low byte first
    qualities  one byte each
    words      one byte with their count, then two bytes a word, high byte first
"""

from __future__ import annotations

import math
import struct
from collections.abc import Iterator, Sequence
from typing import TypeAlias

from buswalk.domain.record_samples import QUALITIES
from buswalk.domain.registers.samples import Sample, SamplesTaken

NUMBER_BYTES = 8
SampleBlobs: TypeAlias = tuple[bytes, bytes, bytes]
_CODES = {quality: code for code, quality in enumerate(QUALITIES)}


def sample_blobs(taken: SamplesTaken) -> SampleBlobs:
    """Return numbers, qualities and words of the samples, in order."""
    samples = taken.samples
    numbers = struct.pack(f"<{len(samples)}d", *(one.number for one in samples))
    qualities = bytes(_CODES[one.quality] for one in samples)
    words = b"".join(struct.pack(f">B{len(one.words)}H", len(one.words), *one.words) for one in samples)
    return numbers, qualities, words


def samples_from(points: Sequence[str], blobs: SampleBlobs) -> tuple[Sample, ...]:
    """Return the samples of these points.

    Raises:
        ValueError: The columns are not of one length.
    """
    numbers, qualities, packed = blobs
    if not len(numbers) == NUMBER_BYTES * len(points) == NUMBER_BYTES * len(qualities):
        raise ValueError("every sample has a number and a quality")
    values = struct.unpack(f"<{len(points)}d", numbers)
    return tuple(
        # One NaN for all, so that what is read equals what was kept.
        Sample(point, words, math.nan if math.isnan(number) else number, QUALITIES[code])
        for point, number, code, words in zip(points, values, qualities, _words(packed), strict=True)
    )


def _words(packed: bytes) -> Iterator[tuple[int, ...]]:
    at = 0
    while at < len(packed):
        count = packed[at]
        try:
            yield struct.unpack_from(f">{count}H", packed, at + 1)
        except struct.error as reason:
            raise ValueError("words are cut off") from reason
        at += 1 + 2 * count

"""All points that are watched, with their values so far, out of the stream. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import PointsWatched, Quality, SamplesTaken
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.trend.samples import CODES, Samples
from buswalk.domain.trend.series import Series
from buswalk.domain.trend.which_moved import Nature

UNPLOTTED = (Layout.TEXT, Layout.TIME)
MOST_KEPT = 2_000_000
"""Samples of all points together, however long is watched: 70 bytes each at most, so 140 MB. What is older than fits is
kept as coarse as it is drawn, and read from the record again where somebody looks closer."""
LEAST_OF_A_POINT = 2_000


@dataclass(frozen=True, slots=True)
class PointKey:
    """Which point of which device; `device` 0 is a hand instrument."""

    device: int
    point: str


@dataclass(eq=False, slots=True)
class WatchedPoint:
    """A point and its values; the series grows."""

    key: PointKey
    words: str
    unit: str
    decimals: int
    resolution: float
    nature: Nature
    series: Series = field(default_factory=Series)

    @property
    def name(self) -> str:
        """As cards and tables say it: the device, then the point."""
        return f"{self.key.device} {self.words}" if self.key.device else self.words


class WatchedBoard:
    """Takes samples as they come; late ones, read back from the record, are put where they belong."""

    def __init__(self) -> None:
        self.points: dict[PointKey, WatchedPoint] = {}
        self.version = 0
        self._late: dict[PointKey, list[tuple[float, float, int]]] = {}

    def forget(self) -> None:
        """A new session begins: its times begin anew."""
        self.points.clear()
        self._late.clear()
        self.version += 1

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case PointsWatched(server_address=address, points=points):
                for point in points:
                    self._know(address, point)
            case SamplesTaken(server_address=address, samples=samples, at_s=at_s):
                for sample in samples:
                    self._sample(PointKey(address, sample.point), at_s, sample.number, sample.quality)
                self.version += 1
            case _:
                pass

    def settle(self) -> None:
        """Put late samples where they belong: once for many of them."""
        for key, late in self._late.items():
            times_s, numbers, codes = (np.array(column) for column in zip(*late, strict=True))
            samples = Samples(times_s, numbers, codes.astype(np.uint8))
            self.points[key].series = self.points[key].series.with_late(samples)
            self.version += 1
        self._late.clear()
        self._stay_small()

    def _stay_small(self) -> None:
        """Make the longest series coarser if it has grown too long: one at a time, so that no tick takes long."""
        watched = [one.series for key, one in self.points.items() if key.device]
        longest = max(watched, key=len, default=None)
        if longest is not None and len(longest) > max(MOST_KEPT // len(watched), LEAST_OF_A_POINT):
            longest.make_coarser()

    def described(self) -> WatchedBoard:
        """Return a board of the same points without their values."""
        board = WatchedBoard()
        for point in self.points.values():
            board.describe(point)
        return board

    def describe(self, point: WatchedPoint) -> None:
        """Know a point as another board does; a hand instrument comes with its values."""
        if not point.key.device:
            self.points[point.key] = point
        elif point.key not in self.points:
            self.points[point.key] = replace(point, series=Series())

    def add_hand(self, words: str, unit: str, samples: Samples) -> PointKey:
        """Lay a hand instrument's values beside; one of the same name is replaced."""
        key = PointKey(0, words)
        point = WatchedPoint(key, words, unit, 2, 0.0, Nature.MEASURE)
        point.series.extend(samples)
        self.points[key] = point
        self.version += 1
        return key

    def remove(self, key: PointKey) -> None:
        """Take a hand instrument away."""
        self.points.pop(key, None)
        self.version += 1

    def _know(self, address: int, point: Point) -> None:
        key = PointKey(address, point.name)
        if key in self.points or point.value_type.layout in UNPLOTTED:
            return
        is_state = point.value_type.layout is Layout.BIT or bool(point.named)
        is_float = point.value_type.layout is Layout.FLOAT
        self.points[key] = WatchedPoint(
            key,
            point.words or point.name,
            point.unit,
            point.decimals,
            0.0 if is_float else abs(float(point.scale)),
            Nature.STATE if is_state else Nature.MEASURE,
        )

    def _sample(self, key: PointKey, at_s: float, number: float, quality: Quality) -> None:
        point = self.points.get(key)
        if point is None:
            return
        if len(point.series) and at_s <= point.series.last_s:
            self._late.setdefault(key, []).append((at_s, number, CODES[quality]))
        else:
            point.series.append(at_s, number, quality)

"""All points that are watched, with their values so far, out of the stream. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import PointsWatched, Quality, SamplesTaken
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.trend.samples import CODES, Samples
from buswalk.domain.trend.series import Series
from buswalk.domain.trend.which_moved import Nature

UNPLOTTED = (Layout.TEXT, Layout.TIME)


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
            self.points[key].series = _merged(self.points[key].series, late)
            self.version += 1
        self._late.clear()

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


def _merged(series: Series, late: list[tuple[float, float, int]]) -> Series:
    have = series.samples
    times, numbers, codes = (np.array(column) for column in zip(*late, strict=True))
    is_new = ~np.isin(times, have.times_s)
    if not is_new.any():
        return series
    all_times = np.concatenate((have.times_s, times[is_new]))
    order = np.argsort(all_times, kind="stable")
    merged = Series()
    merged.extend(
        Samples(
            all_times[order],
            np.concatenate((have.numbers, numbers[is_new]))[order],
            np.concatenate((have.codes, codes[is_new])).astype(np.uint8)[order],
        )
    )
    return merged

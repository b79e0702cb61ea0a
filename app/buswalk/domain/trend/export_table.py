"""Values of several points as one table for export: a row a moment, a column a point, marks apart."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from buswalk.domain.record_samples import QUALITIES
from buswalk.domain.registers.samples import Quality
from buswalk.domain.trend.gap import why_of
from buswalk.domain.trend.samples import CODES, Samples

MOST_ROWS = 1_000_000
"""A sheet of the usual workbook format ends at 1 048 576 rows (ISO/IEC 29500 does not say; spreadsheets do)."""
Cell = str | float


@dataclass(frozen=True, slots=True)
class ExportColumn:
    """One point: its head says device, point and unit."""

    head: str
    decimals: int
    samples: Samples


@dataclass(frozen=True, slots=True)
class ExportMark:
    """A mark in words."""

    at_s: float
    words: str


@dataclass(frozen=True, slots=True)
class ExportTable:
    """What is exported.

    Attributes:
        wall_time: At line time 0, ISO 8601; '' if not known.
        source: What the values are from: said in the file, for a simulated line most of all.
    """

    wall_time: str
    columns: tuple[ExportColumn, ...]
    marks: tuple[ExportMark, ...] = ()
    source: str = ""

    @property
    def heads(self) -> tuple[str, ...]:
        """Names of the columns."""
        return ("time", "line time s", *(one.head for one in self.columns), "remarks")

    def times_s(self) -> np.ndarray:
        """Return every moment at which any point was looked at, in order."""
        return np.unique(np.concatenate([one.samples.times_s for one in self.columns] or [np.empty(0)]))

    def rows(self) -> Iterator[tuple[Cell, ...]]:
        """Yield the rows: an empty cell where a point was not looked at, a remark where it told no value."""
        times = self.times_s()
        places = [np.searchsorted(one.samples.times_s, times) for one in self.columns]
        for at, time_s in enumerate(times.tolist()):
            cells: list[Cell] = []
            remarks: list[str] = []
            for column, place in zip(self.columns, places, strict=True):
                cells.append(_cell(column, int(place[at]), time_s, remarks))
            yield (self.stamp(time_s), round(time_s, 4), *cells, "; ".join(remarks))

    def stamp(self, at_s: float) -> str:
        """Return the wall time of a moment, with milliseconds and without its zone."""
        if not self.wall_time:
            return ""
        moment = datetime.fromisoformat(self.wall_time).replace(tzinfo=None) + timedelta(seconds=at_s)
        return moment.isoformat(sep=" ", timespec="milliseconds")


def _cell(column: ExportColumn, place: int, time_s: float, remarks: list[str]) -> Cell:
    samples = column.samples
    if place >= len(samples) or samples.times_s[place] != time_s:
        return ""
    quality = QUALITIES[int(samples.codes[place])]
    number = float(samples.numbers[place])
    if np.isnan(number):
        remarks.append(f"{column.head}: {why_of(quality).value}")
        return ""
    if int(samples.codes[place]) != CODES[Quality.GOOD]:
        remarks.append(f"{column.head}: {quality.value.replace('_', ' ')}")
    return round(number, max(column.decimals, 0) + 3)


def longest_rows(columns: Sequence[ExportColumn]) -> int:
    """Return how many rows a table of these columns can have at most."""
    return sum(len(one.samples) for one in columns)

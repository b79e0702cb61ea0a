"""An invented greenhouse as watched for 16 minutes: one sensor warmed by hand and let go, one device silent for 45 s.

What the values are made of is known: 21 follows its warming with 7 s of dead time and one lag of 46 s.
"""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal

import numpy as np

from buswalk.bus.messages import Kept
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import PointsWatched, Quality, Sample, SamplesTaken
from buswalk.domain.registers.tables import Table
from buswalk.domain.visit.session_events import MarkMade, MarkSource, SessionStarted

WALL_TIME = "2026-03-31T10:04:00+02:00"
USUAL = SerialSettings(9600, Parity.NONE, 1)
SECONDS = 960
WARMED_S, LET_GO_S = 250.0, 450.0
SILENT_FROM_S, SILENT_TO_S = 560.0, 605.0
AIR = Point("air", Table.INPUT_REGISTERS, 0, words="air", scale=Decimal("0.1"), unit="°C", decimals=1)
HUMIDITY = Point("humidity", Table.INPUT_REGISTERS, 1, words="humidity", scale=Decimal("0.1"), unit="% rH", decimals=1)
CO2 = Point("co2", Table.INPUT_REGISTERS, 2, words="CO2", unit="ppm", decimals=0)
POINTS = {21: (AIR, HUMIDITY, CO2), 22: (AIR, HUMIDITY), 23: (AIR,)}


def lagged(times: np.ndarray, begins_s: float, ends_s: float, dead_s: float, lag_s: float) -> np.ndarray:
    """Return the answer of one lag with dead time to a warming of size 1."""
    up = -np.expm1(-np.maximum(times - begins_s - dead_s, 0.0) / lag_s)
    down = -np.expm1(-np.maximum(times - ends_s - dead_s, 0.0) / lag_s)
    return np.asarray(up - down)


def values(times: np.ndarray) -> dict[tuple[int, str], np.ndarray]:
    """Return what each point tells."""
    rng = np.random.default_rng(21)
    warm = lagged(times, WARMED_S, LET_GO_S, 7.0, 46.0)
    return {
        (21, "air"): 21.5 + 6.4 * warm + rng.normal(0, 0.06, len(times)),
        (22, "air"): 21.1 - 0.0001 * times + rng.normal(0, 0.06, len(times)),
        (23, "air"): 20.3 + 0.0002 * times + rng.normal(0, 0.06, len(times)),
        (21, "humidity"): 60.3 - 9.0 * warm + rng.normal(0, 0.1, len(times)),
        (22, "humidity"): 64.4 - 0.001 * times + rng.normal(0, 0.1, len(times)),
        (21, "co2"): 605.0 + 60.0 * lagged(times, 280.0, 470.0, 0.0, 90.0) + rng.normal(0, 1.5, len(times)),
    }


def watched_items(seconds: int = SECONDS) -> Iterator[Kept]:
    """Yield the stream from the start of the session, one exchange a device and second."""
    times = np.arange(float(seconds))
    told = values(times)
    row = 1
    yield Kept(row, SessionStarted(WALL_TIME, 1.0, is_simulated=True, program="test"), 0.0)
    for address, points in POINTS.items():
        row += 1
        yield Kept(row, PointsWatched(address, USUAL, "room-air", points, 0.0), 0.0)
    exchange = 0
    for second in range(seconds):
        for at_s, words in ((WARMED_S, "warmed sensor 21"), (LET_GO_S, "let go")):
            if second == at_s:
                row += 1
                yield Kept(row, MarkMade(words, MarkSource.USER, at_s), at_s)
        for offset, (address, points) in enumerate(POINTS.items()):
            at_s = second + 0.1 * offset
            is_silent = address == 22 and SILENT_FROM_S <= at_s < SILENT_TO_S
            samples = tuple(
                _silent(point) if is_silent else _sample(point, float(told[address, point.name][second]))
                for point in points
            )
            exchange += 1
            row += 1
            yield Kept(row, SamplesTaken(exchange, address, USUAL, samples, at_s, 0.002), at_s)


def _sample(point: Point, value: float) -> Sample:
    raw = round(value / float(point.scale))
    return Sample(point.name, (raw,), float(raw * point.scale), Quality.GOOD)


def _silent(point: Point) -> Sample:
    return Sample(point.name, (), float("nan"), Quality.NO_REPLY)

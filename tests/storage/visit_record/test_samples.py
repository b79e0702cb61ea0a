"""Samples are read back from the record: one point over time, through sessions, from old files, by the million."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from buswalk.bus.queries import ReadPointsWatched, ReadSamples
from buswalk.domain.record_samples import MOST_SAMPLES, NO_SAMPLES, SamplePage
from buswalk.domain.registers.samples import Quality, Sample, SamplesTaken
from buswalk.domain.trend.samples import CODES, samples_of
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.every_event import EVERY_EVENT, SETTINGS, STARTED, WATCHED

NAN = float("nan")


@pytest.fixture
def path(tmp_path: Path) -> Path:
    """Where a record may be made."""
    return tmp_path / "2026-03-05-ttyUSB0.buswalk.sqlite"


def taken(number: int, at_s: float, *values: tuple[str, float, Quality], address: int = 37) -> SamplesTaken:
    samples = tuple(
        Sample(point, () if quality is Quality.NO_REPLY else (7,), value, quality) for point, value, quality in values
    )
    return SamplesTaken(number, address, SETTINGS, samples, at_s, 0.001)


def record(path: Path, *events: object) -> None:
    with closing(open_visit_record(path, is_simulated=False)) as recorder:
        recorder.keep(STARTED, 0.0)
        for event in events:
            recorder.keep(event, 1.0)


def read(path: Path, page: SamplePage) -> list[tuple[float, float, Quality]]:
    with closing(open_record(path)) as reader:
        samples = samples_of(reader.samples(page))
    codes = {code: quality for quality, code in CODES.items()}
    rows = zip(samples.times_s.tolist(), samples.numbers.tolist(), samples.codes.tolist(), strict=True)
    return [(at_s, number, codes[code]) for at_s, number, code in rows]


def test_one_point_comes_back_in_order_of_time_wherever_it_stood_in_its_exchange(path: Path) -> None:
    """After the plan was made anew a point stands in another block: its series goes on."""
    record(
        path,
        taken(1, 1.0, ("flow", 3.0, Quality.GOOD), ("level", 0.25, Quality.DOUBTFUL)),
        taken(2, 2.0, ("level", 99.0, Quality.GOOD), address=38),
        taken(3, 3.0, ("level", 0.5, Quality.OUT_OF_RANGE)),
        taken(4, 4.0, ("flow", 4.0, Quality.GOOD), ("level", 0.75, Quality.GOOD)),
    )

    assert read(path, SamplePage(37, "level", 1)) == [
        (1.0, 0.25, Quality.DOUBTFUL),
        (3.0, 0.5, Quality.OUT_OF_RANGE),
        (4.0, 0.75, Quality.GOOD),
    ]


def test_what_brought_no_number_is_there_with_its_reason(path: Path) -> None:
    record(path, taken(1, 1.0, ("level", NAN, Quality.NO_REPLY)), taken(2, 2.0, ("level", NAN, Quality.NO_VALUE)))

    found = read(path, SamplePage(37, "level", 1))

    assert [(at_s, quality) for at_s, _, quality in found] == [(1.0, Quality.NO_REPLY), (2.0, Quality.NO_VALUE)]
    assert all(np.isnan(number) for _, number, _ in found)


def test_a_page_is_a_span_of_time_and_goes_on_behind_its_last(path: Path) -> None:
    record(path, *(taken(number, number / 10, ("level", number, Quality.GOOD)) for number in range(1, 11)))

    first = read(path, SamplePage(37, "level", 1, to_s=0.9, limit=4))
    rest = read(path, SamplePage(37, "level", 1, after_s=first[-1][0], to_s=0.9))

    assert [number for _, number, _ in (*first, *rest)] == [1, 2, 3, 4, 5, 6, 7, 8, 9]


def test_line_times_are_of_one_session(path: Path) -> None:
    record(path, taken(1, 1.0, ("level", 1.0, Quality.GOOD)))
    record(path, taken(2, 1.0, ("level", 2.0, Quality.GOOD)))

    assert read(path, SamplePage(37, "level", 1)) == [(1.0, 1.0, Quality.GOOD)]
    assert read(path, SamplePage(37, "level", 2)) == [(1.0, 2.0, Quality.GOOD)]


def test_descriptions_of_points_come_back_as_they_were_with_their_session(path: Path) -> None:
    again = replace(WATCHED, profile="other", at_s=3.0)
    record(path, WATCHED)
    record(path, again)

    with closing(open_record(path)) as reader:
        found = reader.points_watched()

    assert [(one.session, one.event) for one in found] == [(1, WATCHED), (2, again)]


def test_a_record_of_the_days_before_samples_has_none_and_takes_them_when_gone_on_with(path: Path) -> None:
    record(path)
    with closing(sqlite3.connect(path)) as connection:
        for table in ("sample", "sample_layout", "points_watched"):
            connection.execute(f"DROP TABLE {table}")

    with closing(open_record(path)) as reader:
        assert reader.samples(SamplePage(37, "level", 1)) == NO_SAMPLES
        assert reader.points_watched() == ()
        assert [one.event for one in reader.events(1, 10)] == [STARTED]
    record(path, WATCHED, taken(1, 1.0, ("level", 1.0, Quality.GOOD)))

    assert read(path, SamplePage(37, "level", 2)) == [(1.0, 1.0, Quality.GOOD)]


def test_rows_go_on_after_samples(path: Path) -> None:
    """The program died right after it kept samples: no other event may get their row."""
    recorder = open_visit_record(path, is_simulated=False)
    recorder.keep(STARTED, 0.0)
    row = recorder.keep(taken(1, 1.0, ("level", 1.0, Quality.GOOD)), 1.0)
    recorder.abandon()

    with closing(open_visit_record(path, is_simulated=False)) as recorder:
        assert recorder.keep(STARTED, 0.0) == row + 1


def test_the_window_asks_for_points_and_samples(path: Path) -> None:
    record(path, WATCHED, taken(1, 1.0, ("level", 1.5, Quality.GOOD)))

    with closing(open_record(path)) as reader:
        (described,) = ReadPointsWatched().answer(reader)
        columns = ReadSamples(SamplePage(37, "level", 1)).answer(reader)

    assert described.event == WATCHED
    assert samples_of(columns).numbers.tolist() == [1.5]


def test_every_event_is_in_a_record_that_is_found_whole(path: Path) -> None:
    with closing(open_visit_record(path, is_simulated=False)) as recorder:
        for event in EVERY_EVENT:
            recorder.keep(event, 3.0)

    with closing(open_record(path)) as reader:
        assert reader.problems() == ()


@pytest.mark.parametrize("limit", [0, MOST_SAMPLES + 1])
def test_a_page_has_a_limit(limit: int) -> None:
    with pytest.raises(ValueError, match="a page has"):
        SamplePage(37, "level", 1, limit=limit)

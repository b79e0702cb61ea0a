"""Values out of a record: earlier sessions and other files, read for what is in sight; the running one stays small."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import numpy as np
import pytest

from buswalk.bus.messages import Kept, RecordTold
from buswalk.bus.trend_queries import ReadSpanPart, ReadWatchedVisit
from buswalk.domain.record_samples import SamplePage
from buswalk.domain.registers.samples import Quality, Sample, SamplesTaken
from buswalk.domain.trend.samples import good_samples, samples_of
from buswalk.domain.visit.recorder import RecordState
from buswalk.storage.visit_record.reader import open_record
from buswalk.ui.pages.trend.side_cards import DRAWN_COARSELY
from buswalk.ui.pages.trend.time_window import ALL
from buswalk.ui.pages.trend.watched_board import MOST_KEPT, PointKey, WatchedBoard
from tests.fakes.recorded_greenhouse import later, record_many, record_sessions
from tests.fakes.watched_greenhouse import SECONDS, USUAL, watched_items
from tests.ui.pages.trend.test_trend_presenter import Page

AIR_OF_21 = PointKey(21, "air")
NEXT_DAY = "2026-04-01T08:00:00+02:00"


def told(path: Path) -> RecordTold:
    return RecordTold(RecordState(path.name, str(path), 0, is_simulated=True))


class Opened:
    """A page with readers of the records that it may ask."""

    def __init__(self, *paths: Path) -> None:
        self.page = Page()
        self.parts, self.presenter = self.page.parts, self.page.presenter
        self._readers = [open_record(path) for path in paths]
        for path, reader in zip(paths, self._readers, strict=True):
            self.parts.records[str(path)] = reader

    def close(self) -> None:
        for reader in self._readers:
            reader.close()

    def choose(self, path: Path) -> None:
        self.parts.record_path = str(path)
        self.presenter.choose_record()
        self.page.draw()


@pytest.fixture(scope="module")
def old(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A simulated record of two days."""
    path = tmp_path_factory.mktemp("record") / "old.buswalk.sqlite"
    record_sessions(path, watched_items(), later(watched_items(400), NEXT_DAY), is_simulated=True)
    return path


@pytest.fixture
def opened(old: Path) -> Iterator[Opened]:
    with closing(Opened(old)) as page:
        yield page


def test_a_record_is_shown_as_it_was_watched_with_its_last_session_first(old: Path, opened: Opened) -> None:
    opened.choose(old)

    state = opened.presenter.state
    assert [plot.unit for plot in state.plots.plots] == ["°C", "% rH", "ppm"]
    assert state.plots.window.choice == ALL
    assert state.sessions == ("31 Mar 2026 10:04 to 10:19", "01 Apr 2026 08:00 to 08:06")
    assert state.session == 1
    assert state.band is not None
    assert state.band.headline == ("Shown: old, 01 Apr 2026 08:00 to 08:06, one of 2 sessions, not this visit")
    assert state.band.words == "Recorded on a simulated line: no evidence."
    assert state.main_words == "Back to this visit"


def test_a_session_of_a_record_tells_what_it_told_when_it_was_watched(old: Path, opened: Opened) -> None:
    live = Page(watched_items()).presenter
    live.choose_mark(0)
    live.tick(SECONDS)
    opened.choose(old)

    opened.presenter.choose_session(0)
    opened.page.draw()
    opened.presenter.choose_mark(0)
    opened.page.draw()

    ours, theirs = opened.presenter.board.points[AIR_OF_21].series, live.board.points[AIR_OF_21].series
    assert np.array_equal(ours.samples.numbers, theirs.samples.numbers)
    assert ours.gaps == theirs.gaps
    state = opened.presenter.state
    assert [one.words for one in state.plots.marks] == ["warmed sensor 21", "let go"]
    assert state.after == live.state.after
    assert state.sentence == live.state.sentence


def test_figures_wait_until_the_values_of_a_marked_session_have_come(old: Path, opened: Opened) -> None:
    """Nothing is asked of a point that has no value yet."""
    opened.choose(old)
    opened.parts.answers_at_once = False
    opened.parts.calculated.clear()

    opened.presenter.choose_session(0)
    opened.page.draw()
    before = list(opened.parts.calculated)
    opened.parts.answer()
    opened.page.draw()

    assert before == []
    assert opened.parts.calculated
    assert opened.presenter.state.before.figures


def test_figures_of_a_point_that_is_drawn_no_more_are_still_told(opened: Opened) -> None:
    for item in watched_items(60):
        opened.presenter.take(item)
    opened.page.draw()
    opened.presenter.choose_point(1)
    opened.presenter.pick()
    _ = opened.presenter.state
    opened.presenter.picking.toggle(1)
    opened.presenter.pick()
    opened.page.draw()

    assert opened.presenter.state.before.aside == "21 humidity"


def test_f5_goes_back_to_what_is_watched_meanwhile(old: Path, opened: Opened) -> None:
    for item in watched_items(300):
        opened.presenter.take(item)
    opened.page.draw()
    opened.presenter.choose_window(0)
    opened.choose(old)

    opened.presenter.take(
        Kept(5000, SamplesTaken(9, 21, USUAL, (Sample("air", (1,), 33.3, Quality.GOOD),), 301.0, 0.0), 301.0)
    )
    shown = opened.presenter.state
    opened.presenter.main_action()

    state = opened.presenter.state
    assert "33.3" not in str(shown.readings.rows)
    assert state.band is None
    assert state.plots.window.choice == 0
    assert "33.3 °C" in str(state.readings.rows)
    assert opened.page.parts.started == []


def test_earlier_sessions_of_the_running_record_can_be_chosen(old: Path, opened: Opened) -> None:
    """The last session of the file is the one that runs: its values come by themselves."""
    opened.presenter.take(told(old))
    for item in watched_items(50):
        opened.presenter.take(item)
    opened.page.draw()
    before = opened.presenter.state

    opened.presenter.choose_session(1)
    earlier = opened.presenter.state
    opened.presenter.choose_session(0)

    assert before.sessions == ("this session", "31 Mar 2026 10:04 to 10:19")
    assert earlier.band is not None
    assert "an earlier session of this visit" in earlier.band.headline
    assert "This visit goes on being recorded." in earlier.band.words
    assert opened.presenter.state.band is None


def test_the_running_record_is_not_opened_beside_itself(old: Path, opened: Opened) -> None:
    opened.presenter.take(told(old))

    opened.choose(old)

    assert opened.presenter.state.band is None
    assert opened.presenter.state.sentence.startswith("That is the record of this visit")


def test_a_file_that_is_no_record_is_said_and_left_with_f5(tmp_path: Path, opened: Opened) -> None:
    opened.choose(tmp_path / "holiday.jpg")
    band = opened.presenter.state.band

    opened.presenter.main_action()

    assert band is not None
    assert band.words == "The file is no record of a visit."
    assert opened.presenter.state.band is None


def test_a_record_without_watched_points_says_so(tmp_path: Path) -> None:
    path = tmp_path / "search.buswalk.sqlite"
    record_sessions(path, [next(iter(watched_items(0)))], is_simulated=True)

    with closing(Opened(path)) as opened:
        opened.choose(path)

        band = opened.presenter.state.band
    assert band is not None
    assert band.words == "No values of watched points are in it."


@pytest.fixture(scope="module")
def long(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """200 000 seconds of values that walk, with one spike."""
    path = tmp_path_factory.mktemp("record") / "long.buswalk.sqlite"
    numbers = np.cumsum(np.random.default_rng(5).normal(0, 0.1, 200_000))
    numbers[77_777] = 500.0
    record_many(path, numbers)
    return path


def test_a_long_record_is_read_part_by_part_as_dense_as_it_is_drawn(long: Path) -> None:
    """The first part is drawn before the others have come; a spike of one second is never lost."""
    with closing(Opened(long)) as opened:
        opened.parts.answers_at_once = False
        opened.choose(long)
        for _ in range(2):
            opened.parts.answer()
            opened.page.draw()
        first = opened.presenter.state
        first_length = len(opened.presenter.board.points[AIR_OF_21].series)
        while opened.parts.waiting:
            opened.parts.answer()
            opened.page.draw()

        series = opened.presenter.board.points[AIR_OF_21].series
    assert first_length > 0
    assert first.sentence.startswith("The record is being read, ")
    assert len(series) < 25_000
    assert series.samples.numbers.max() == 500.0
    assert series.last_s == 200_000.0
    assert opened.presenter.state.before.sentence == DRAWN_COARSELY.value


def test_looking_closer_reads_the_samples_themselves(long: Path) -> None:
    with closing(Opened(long)) as opened:
        opened.choose(long)
        opened.presenter.zoom(0.02, 77_778.0)
        opened.page.draw()

        window = opened.presenter.state.plots.window
        series = opened.presenter.board.points[AIR_OF_21].series
        asked = len(opened.parts.asked)
        opened.presenter.pan(0.1)
        opened.page.draw()
    inside = series.samples.between(window.begins_s, window.ends_s)
    assert len(inside) == pytest.approx(window.seconds, abs=2)
    assert len(series) <= 3 * window.seconds + 3
    assert len(opened.parts.asked) == asked
    assert opened.presenter.state.before.figures


def test_only_points_that_are_drawn_are_read(long: Path) -> None:
    with closing(Opened(long)) as opened:
        opened.choose(long)
        opened.presenter.pick()
        _ = opened.presenter.state
        opened.presenter.picking.toggle(0)
        opened.presenter.pick()
        opened.presenter.zoom(0.1, 1000.0)
        opened.page.draw()

        query = opened.parts.asked[-1]
    assert isinstance(query, ReadSpanPart)
    assert [one.point for one in query.points] == ["humidity"]


def test_what_a_visit_has_is_told_for_a_session_that_was_cut_short(long: Path) -> None:
    """Its recorded end lies before its values here: the values themselves are looked for."""
    with closing(open_record(long)) as reader:
        visit = ReadWatchedVisit().answer(reader)

    (session,) = visit.sessions
    assert session.first_s == pytest.approx(0.001)
    assert session.last_s == pytest.approx(200_000.0, abs=0.5)


def test_a_window_that_watches_for_days_keeps_no_more_than_it_says() -> None:
    """Six points each second for 69 days: 36 million samples, in few large batches."""
    board = WatchedBoard()
    for item in watched_items(0):
        board.take(item.event)
    points = list(board.points.values())
    rng = np.random.default_rng(3)
    kept = []
    for batch in range(60):
        times = np.arange(100_000.0) + 100_000.0 * batch
        for point in points:
            point.series.extend(good_samples(times, rng.normal(0, 1, 100_000)))
        for _ in points:
            board.settle()
        kept.append(sum(len(one.series) for one in points))

    assert max(kept) < MOST_KEPT + 100_000 * len(points)
    assert kept[-1] <= 1.1 * max(kept[:20])
    assert points[0].series.first_s == 0.0


def test_what_has_become_coarse_is_read_from_the_record_again_where_somebody_looks(long: Path) -> None:
    """The running session, watched for two days: its older half is coarse here, and whole in its record."""
    with closing(Opened(long)) as opened:
        presenter = opened.presenter
        presenter.take(told(long))
        for item in watched_items(0):
            presenter.take(item)
        with closing(open_record(long)) as reader:
            for name in ("air", "humidity"):
                series = presenter.board.points[PointKey(21, name)].series
                series.extend(samples_of(reader.samples(SamplePage(21, name, 1))))
                series.make_coarser()
        presenter.choose_window(ALL)
        whole = presenter.board.points[AIR_OF_21].series

        presenter.zoom(0.01, 50_000.0)
        opened.page.draw()
        opened.page.draw()

        window = presenter.state.plots.window
        closer = presenter.board.points[AIR_OF_21].series
        figures = presenter.state.before.figures
        presenter.choose_window(0)
        opened.page.draw()
        again = presenter.board.points[AIR_OF_21].series
    assert len(whole.samples.between(window.begins_s, window.ends_s)) < 0.3 * window.seconds
    assert len(closer.samples.between(window.begins_s, window.ends_s)) == pytest.approx(window.seconds, abs=2)
    assert figures
    assert again is whole

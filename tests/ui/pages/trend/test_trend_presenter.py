"""What the page Trend says, by the values it was told. Oracles: how the greenhouse is made."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from pathlib import Path

import numpy as np
import pytest
from openpyxl import load_workbook

from buswalk.bus.messages import Kept
from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.domain.registers.samples import Quality, Sample, SamplesTaken
from buswalk.domain.registers.watched_choice import ChosenDevice
from buswalk.domain.trend.moment_story import SpanQuestion
from buswalk.domain.trend.samples import good_samples
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.trend_files import SaveTrend
from buswalk.ui.pages.trend.presenter import TrendPresenter
from buswalk.ui.pages.trend.watched_board import PointKey
from buswalk.ui.pages.trend.ways import KnownDevice, ReadFile
from buswalk.ui.tones import Tone
from tests.fakes.played_feed import RememberedCommands
from tests.fakes.trend_window import TrendParts
from tests.fakes.watched_greenhouse import AIR, CO2, SECONDS, USUAL, values, watched_items


class Page:
    """A presenter with what it asks for."""

    def __init__(self, items: Iterable[Kept] = ()) -> None:
        self.parts = TrendParts()
        self.commands = RememberedCommands()
        self.presenter = TrendPresenter(self.commands, self.parts.ways())
        for item in items:
            self.presenter.take(item)
        self.draw()

    def draw(self) -> None:
        """A tick, and what the view asks for then."""
        self.presenter.tick(SECONDS)
        _ = self.presenter.state


@pytest.fixture(scope="module")
def items() -> tuple[Kept, ...]:
    return tuple(watched_items())


def test_plots_are_by_unit_and_gaps_and_marks_are_counted(items: tuple[Kept, ...]) -> None:
    state = Page(items).presenter.state

    assert [plot.unit for plot in state.plots.plots] == ["°C", "% rH", "ppm"]
    assert [plot.weight for plot in state.plots.plots] == [10, 6, 6]
    assert [curve.label for curve in state.plots.plots[0].curves] == ["21", "22", "23"]
    assert state.sentence == "6 points of 21 to 23. 2 marks, 1 gap since 10:04:00."
    assert state.every == "Every 1 s, 3 devices"


def test_the_step_of_the_warmed_sensor_is_told_with_limits_and_who_moved(items: tuple[Kept, ...]) -> None:
    """Made with a step of 6.4 K, 7 s of dead time, one lag of 46 s: 95 % after 7 + 3.0 x 46 = 145 s."""
    page = Page(items)

    page.presenter.choose_mark(0)
    page.draw()

    after = page.presenter.state.after
    assert after is not None
    told = {one.caption: one.value for one in after.figures}
    assert told["step"] == "+6.4 K"
    assert told["dead time"].startswith(("6.", "7."))
    assert told["lag, 63 %"].startswith(("45 ±", "46 ±", "47 ±"))
    assert 141 <= float(told["to 95 %"].split()[0]) <= 149
    assert told["one lag fits"] == "good"
    assert after.sentence.startswith("21 moved ")
    assert after.sentence.endswith("times its noise, 22 and 23 did not.")


def test_readings_name_the_gap_under_the_cursor(items: tuple[Kept, ...]) -> None:
    page = Page(items)

    page.presenter.put_cursor(580.0)

    rows = {row[0].words: row[1] for row in page.presenter.state.readings.rows}
    assert rows["22 air"].words == "no answer"
    assert rows["22 air"].tone is Tone.DOUBT
    assert rows["21 air"].words.endswith("°C")


def test_a_doubtful_value_is_said_to_be_so() -> None:
    items = [*watched_items(20)]
    old = Sample("air", (300,), 30.0, Quality.DOUBTFUL)
    items.append(Kept(9999, SamplesTaken(99, 21, USUAL, (old,), 21.0, 0.0), 21.0))

    rows = {row[0].words: row[1].words for row in Page(items).presenter.state.readings.rows}

    assert rows["21 air"] == "30.0 °C, in doubt"


def test_samples_that_come_late_stand_where_they_belong() -> None:
    """A slow window reads back what was skipped: in the end all is there, in order, once."""
    items = list(watched_items(100))
    mixed = [*items[:120], *items[200:], *items[120:200], *items[150:180]]

    straight, late = Page(items).presenter, Page(mixed).presenter

    for key, point in straight.board.points.items():
        ours = late.board.points[key].series.samples
        assert np.array_equal(ours.times_s, point.series.samples.times_s)
        assert np.array_equal(ours.numbers, point.series.samples.numbers)


def test_ranking_lists_every_point_the_clearest_first(items: tuple[Kept, ...]) -> None:
    page = Page(items)
    page.presenter.choose_mark(0)
    page.presenter.choose_face(1)
    page.draw()

    rows = [[cell.words for cell in row] for row in page.presenter.state.readings.rows]

    assert rows[0][0] == "21 air"
    assert rows[0][1] == "+6.4 K"
    assert {row[0] for row in rows[-3:]} == {"22 air", "23 air", "22 humidity"}


def test_humidity_goes_along_with_the_air_it_is_warmed_with(items: tuple[Kept, ...]) -> None:
    """Made of the same warming, upside down."""
    page = Page(items)
    page.presenter.choose_face(2)
    page.presenter.choose_mark(0)
    page.draw()

    first = [cell.words for cell in page.presenter.state.readings.rows[0]]

    assert first[0] == "21 humidity"
    assert float(first[1].replace("−", "-")) < -0.95
    assert first[2] == "at once"


def test_a_value_at_rest_is_called_unchanged() -> None:
    items = list(watched_items(0))
    for second in range(60):
        sample = Sample("air", (215,), 21.5, Quality.GOOD)
        items.append(Kept(100 + second, SamplesTaken(second + 1, 21, USUAL, (sample,), float(second), 0.0), second))

    before = Page(items).presenter.state.before

    assert before.sentence.startswith("Unchanged for 0:59: stuck, or it moves less than its step")


def test_f5_without_a_choice_opens_the_points_and_with_one_watches() -> None:
    page = Page()
    settings = SerialSettings(9600, Parity.NONE, 1)
    page.parts.devices = (KnownDevice(21, settings, "air, bay 1"),)
    page.parts.library = ProfileLibrary((RegisterProfile("room-air", "Room air", (AIR, CO2)),))

    page.presenter.main_action()
    page.presenter.picking.offer(0, 0)
    page.draw()
    page.presenter.picking.toggle(0)
    page.presenter.picking.close()
    page.presenter.main_action()

    assert page.presenter.state.main_words == "Watch 1 point"
    assert page.parts.started[0].devices == (ChosenDevice(21, settings, "room-air", ("air",)),)


def test_what_was_watched_is_watched_again(items: tuple[Kept, ...]) -> None:
    page = Page(items)

    page.presenter.main_action()

    assert [one.points for one in page.parts.started[0].devices] == [
        ("air", "humidity", "co2"),
        ("air", "humidity"),
        ("air",),
    ]


def test_a_hand_instruments_list_is_laid_beside_and_shifted_to_where_it_agrees(items: tuple[Kept, ...]) -> None:
    """Its clock is 40 s ahead; it saw what 21 saw, half a kelvin lower."""
    page = Page(items)
    seconds = np.arange(0.0, 900.0, 2.0)
    air = values(np.arange(float(SECONDS)))[21, "air"]
    lines = ["time;T [°C]"]
    for at_s in seconds:
        clock = 10 * 3600 + 4 * 60 + int(at_s) + 40
        stamp = f"31.03.2026 {clock // 3600:02}:{clock % 3600 // 60:02}:{clock % 60:02}"
        lines.append(f"{stamp};{air[int(at_s)] - 0.5:.2f}".replace(".", ",").replace("31,03,2026", "31.03.2026"))
    page.parts.file = ReadFile("hand.csv", tuple(lines))

    page.presenter.pick()
    page.presenter.bring_in_hand()

    pick = page.presenter.state.pick
    assert "decimal comma" in pick.hand_sentence
    assert "shifted 40 s earlier" in pick.hand_sentence
    hand = page.presenter.board.points[PointKey(0, "hand T")]
    assert hand.series.first_s == pytest.approx(0.0, abs=2.1)
    assert hand.unit == "°C"


def test_a_bad_list_is_told_with_its_lines_and_changes_nothing(items: tuple[Kept, ...]) -> None:
    page = Page(items)
    page.parts.file = ReadFile("hand.csv", ("10:00:00;1,0", "10:00:01;x", "10:00:02;1,1"))

    page.presenter.pick()
    page.presenter.bring_in_hand()

    pick = page.presenter.state.pick
    assert pick.hand_sentence.startswith("Not taken. hand.csv:2: 'x' is no number")
    assert pick.hand_tone is Tone.FAULT
    assert not pick.has_hand


def test_csv_and_workbook_hold_what_is_shown_with_gaps_and_marks(items: tuple[Kept, ...], tmp_path: Path) -> None:
    """Read back by csv and openpyxl."""
    page = Page(items)
    page.parts.export_path = "x.csv"
    page.presenter.export()
    table = page.parts.saved[0][1]

    told = SaveTrend(str(tmp_path / "x.csv"), table).result()
    SaveTrend(str(tmp_path / "x.xlsx"), table).result()

    rows = list(csv.reader((tmp_path / "x.csv").read_text(encoding="utf-8").splitlines()))
    sheet = load_workbook(tmp_path / "x.xlsx")
    sheet_rows = list(sheet["values"].iter_rows(values_only=True))
    assert rows[0][2] == "21 air, °C"
    assert told == f"saved as x.csv, {len(rows) - 1} rows"
    silent = [row for row in rows if "no answer" in row[-1]]
    assert len(silent) == 45
    assert all(row[rows[0].index("22 air, °C")] == "" for row in silent)
    assert len(sheet_rows) == len(rows)
    assert sheet_rows[1][2] == float(rows[1][2])
    marks = list(sheet["marks and source"].iter_rows(values_only=True))
    assert marks[1] == ("2026-03-31 10:08:10.000", 250, "1 warmed sensor 21")
    assert str(marks[-1][1]).startswith("simulated line, no evidence")


def test_an_export_never_takes_the_place_of_a_file(items: tuple[Kept, ...], tmp_path: Path) -> None:
    page = Page(items)
    page.parts.export_path = "x.xlsx"
    page.presenter.export()
    path = tmp_path / "x.xlsx"
    path.write_text("mine")

    with pytest.raises(RecordProblem, match="is there already"):
        SaveTrend(str(path), page.parts.saved[0][1]).result()
    assert path.read_text() == "mine"


def test_many_values_hand_over_little() -> None:
    """What is worked out elsewhere is at most 120 000 values of all points together."""
    page = Page(watched_items(0))
    point = page.presenter.board.points[PointKey(21, "air")]
    point.series.extend(good_samples(np.arange(3e5), np.zeros(300_000)))
    page.presenter.choose_window(3)

    asked = page.parts.calculated[-1]
    assert isinstance(asked, SpanQuestion)
    assert sum(len(one.samples) for one in asked.points) <= 120_000

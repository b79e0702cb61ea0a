"""A watch of Trend that another client held: its band in the real window, whole at every size, closed by its button."""

from __future__ import annotations

import pytest
from pytestqt.qtbot import QtBot

from buswalk.domain.preferences import PaletteChoice, Preferences
from buswalk.domain.registers.watched_choice import ChosenDevice, WatchedChoice
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.visit.session_events import JobEnded, JobEndKind, JobStarted
from buswalk.ui.widgets.band import Band
from tests.fakes.shown_widgets import cut
from tests.fakes.told_line import USUAL, copper_opened, kept
from tests.fakes.trend_window import TrendWindow


@pytest.mark.parametrize("palette", [PaletteChoice.LIGHT, PaletteChoice.DARK])
@pytest.mark.parametrize(("width", "height"), [(1366, 768), (1920, 1080), (911, 512)])
def test_a_held_watch_is_said_until_it_is_closed(qtbot: QtBot, width: int, height: int, palette: PaletteChoice) -> None:
    shown = TrendWindow(Preferences(palette))
    qtbot.addWidget(shown.window)
    shown.show(width, height)
    shown.feed.play(*copper_opened(), line_time_s=1.0)
    shown.settle()
    presenter = shown.page.presenter
    presenter.picking.choose(WatchedChoice((ChosenDevice(11, USUAL, "room-sensor", ("supply_air",)),)))
    presenter.main_action()
    living = LivingLine(Verdict.TRAFFIC, "something is sending")
    ended = JobEnded(1, "watch", JobEndKind.FINISHED, "", 13.0)
    shown.feed.play(*kept(JobStarted(1, "watch", 2.0), living, ended), line_time_s=14.0)
    shown.settle()

    (band,) = (one for one in shown.view.findChildren(Band) if one.isVisible())
    assert band.accessibleName() == "Another client is alive on this line: nothing was asked"
    assert cut(shown.window) == []
    band.buttons[0].click()
    shown.settle()

    assert not band.isVisible()

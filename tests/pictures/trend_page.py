"""The picture of the page Trend: the greenhouse of the tests, one sensor warmed, one device silent for 45 s."""

from __future__ import annotations

import time
from pathlib import Path

from PySide6.QtWidgets import QApplication

from buswalk.domain.preferences import PaletteChoice, Preferences
from tests.fakes.styled_application import close_for_good
from tests.fakes.trend_window import TrendWindow
from tests.fakes.watched_greenhouse import SECONDS, watched_items

CURSOR_S = 370.0
REST_S = 0.7
"""Curves are drawn thick when nothing has moved for half a second."""


def draw_trend(application: QApplication, palette: PaletteChoice, folder: Path) -> Path:
    """Play 16 minutes, put the cursor where 21 is warm, keep the picture."""
    shown = TrendWindow(Preferences(palette))
    shown.show()
    shown.feed.play(*watched_items(), line_time_s=SECONDS)
    shown.settle()
    shown.page.presenter.choose_mark(0)
    shown.page.presenter.put_cursor(CURSOR_S)
    shown.settle()
    time.sleep(REST_S)
    application.processEvents()
    time.sleep(REST_S)
    path = folder / f"trend-{palette.value}.png"
    shown.window.grab().save(str(path))
    close_for_good(shown.window)
    return path

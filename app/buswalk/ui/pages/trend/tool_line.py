"""The line over the plots: points, how often they are read, the window of time."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.trend.trend_state import TrendState
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import paint_card
from buswalk.ui.widgets.entries import Choice
from buswalk.ui.widgets.labels import caption
from buswalk.ui.widgets.segment import Segment

HEIGHT = 42


class ToolLine(QWidget):
    """Buttons and the choice of the window."""

    def __init__(self, look: Look, windows: Sequence[str]) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName("tools of the plots")
        self.setFixedHeight(look.px(HEIGHT))
        self.points = Button(look, "Points", ButtonWeight.SMALL, "F2")
        self.next_unit = Button(look, "Next unit", ButtonWeight.SMALL)
        self.windows = Segment(look, "window of time", windows, 30)
        self.session = Choice(look, "session")
        self._every = caption(look)
        self.mark = Button(look, "Mark", ButtonWeight.SMALL, "Ctrl+M")
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(10), 0, look.px(10), 0)
        row.setSpacing(look.px(8))
        row.addWidget(self.points)
        row.addWidget(self.session)
        row.addWidget(self._every)
        row.addStretch(1)
        row.addWidget(self.next_unit)
        row.addWidget(caption(look, "Window"))
        row.addWidget(self.windows)
        row.addWidget(self.mark)

    def show_tools(self, state: TrendState) -> None:
        """Show what is watched, which session and which window is followed."""
        plots = state.plots
        # First what goes, then what comes: the line never wants more room than there is.
        self.mark.setVisible(state.is_live)
        self.session.show_choices(state.sessions)
        self.session.show_chosen(state.session)
        self.session.setVisible(bool(state.sessions))
        self._every.show_text(state.every)
        self.windows.show_chosen(plots.window.choice)
        if not plots.window.is_following:
            # Held: none is chosen, and Tab must still come here.
            self.windows.part(0).setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.next_unit.setVisible(bool(plots.tabs))
        if plots.tabs:
            self.next_unit.show_words(f"Below: {plots.tabs[plots.tab]}, {plots.tab + 1} of {len(plots.tabs)}")

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the card."""
        paint_card(self, self._look)

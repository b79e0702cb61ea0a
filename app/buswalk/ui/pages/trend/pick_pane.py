"""Which points are drawn and watched, and the hand instrument: in place of the plots."""

from __future__ import annotations

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.domain.watching.plan import MOST_RETRIES
from buswalk.ui.look import Look
from buswalk.ui.pages.trend.trend_state import PickState
from buswalk.ui.sizes import CARD_GAP, ROW_DENSE
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, Entry
from buswalk.ui.widgets.labels import caption, sentence
from buswalk.ui.widgets.table import Column, Table

NONE = (
    "Choose a device that answers and the profile that describes it: its points are listed here, to be watched with F5."
)
NO_DEVICE = "No device answers yet: search the line first (Find). Points that are watched appear here by themselves."
HAND = "A hand instrument's CSV: time and value. It is laid beside the curves and shifted to where it agrees."

RETRIES = ("not again", "once more", *(f"{most} times more" for most in range(2, MOST_RETRIES + 1)))


class PickTable(Table):
    """Space draws a point, or leaves it out."""

    toggled = Signal(int)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Space toggles the row."""
        if event.key() == Qt.Key.Key_Space and self.currentIndex().isValid():
            self.toggled.emit(self.currentIndex().row())
            return
        super().keyPressEvent(event)


class PickPane(QWidget):
    """Shows a PickState."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setAccessibleName("choice of points")
        columns = (
            Column("Drawn", 64),
            Column("Addr.", 60),
            Column("Point", 0, may_be_cut=True),
            Column("Unit", 80),
            Column("", 330, may_be_cut=True),
        )
        self.points = Card(look, "Points", "Space or double click: draw or watch, or not. F2 back")
        self.table = PickTable(look, "points to choose from", columns, ROW_DENSE)
        self.table.doubleClicked.connect(lambda index: self.table.toggled.emit(index.row()))
        self.points.let_body_reach_edges()
        self.device, self.profile = Choice(look, "device"), Choice(look, "profile")
        self.offer = Button(look, "List its points", ButtonWeight.SMALL)
        self._chooser = QWidget()
        chooser = QHBoxLayout(self._chooser)
        chooser.setContentsMargins(look.px(12), look.px(4), look.px(12), look.px(4))
        chooser.setSpacing(look.px(10))
        for part in (caption(look, "Device"), self.device, caption(look, "is a"), self.profile, self.offer):
            chooser.addWidget(part)
        chooser.addStretch(1)
        self.points.body.addWidget(self._chooser)
        self.points.body.addWidget(self._period_line(look))
        self.points.body.addWidget(self.table, 1)
        self._none = sentence(look, NONE)
        self._none.setContentsMargins(look.px(12), 0, look.px(12), look.px(8))
        self.points.body.addWidget(self._none)
        self.hand = Card(look, "Hand instrument")
        self._told = sentence(look, HAND)
        self.hand.body.addWidget(self._told)
        self.bring_in = Button(look, "Bring in a list…", ButtonWeight.SMALL)
        self.fit = Button(look, "Fit to the chosen point", ButtonWeight.SMALL)
        self.offset = Entry(look, "shift by seconds", 7)
        self.remove = Button(look, "Take it away", ButtonWeight.SMALL)
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        self._shift = caption(look, "Shift by, s")
        for one in (self.bring_in, self.fit, self._shift, self.offset, self.remove):
            row.addWidget(one)
        row.addStretch(1)
        self.hand.body.addLayout(row)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(CARD_GAP))
        column.addWidget(self.points, 1)
        column.addWidget(self.hand)

    def _period_line(self, look: Look) -> QWidget:
        self.period = Entry(look, "read every so many seconds", 5)
        self.for_point = Button(look, "For the point", ButtonWeight.SMALL)
        self.for_device = Button(look, "For its device", ButtonWeight.SMALL)
        self.retries = Choice(look, "retries", RETRIES)
        self._periods = sentence(look)
        self._watching = QWidget()
        column = QVBoxLayout(self._watching)
        column.setContentsMargins(look.px(12), 0, look.px(12), look.px(6))
        column.setSpacing(look.px(4))
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        unanswered = caption(look, "No answer:")
        every = caption(look, "Read every, s")
        for part in (every, self.period, self.for_point, self.for_device, unanswered, self.retries):
            row.addWidget(part)
        row.addStretch(1)
        column.addLayout(row)
        column.addWidget(self._periods)
        return self._watching

    def show_pick(self, state: PickState) -> None:
        """Show other rows."""
        self.table.show_rows(state.rows)
        self.table.setVisible(bool(state.rows))
        self.device.show_choices(state.devices)
        self.profile.show_choices(state.profiles)
        self._chooser.setVisible(bool(state.devices) and bool(state.profiles))
        self.device.show_chosen(state.device)
        self.retries.show_chosen(state.retries)
        self._periods.show_text(state.periods)
        self._watching.setVisible(bool(state.rows) and not state.is_record)
        words = state.problem or (NONE if state.devices else NO_DEVICE)
        self._none.show_text(words, Tone.FAULT if state.problem else Tone.INK2)
        self._none.setVisible(bool(state.problem) or not state.rows)
        self._told.show_text(state.hand_sentence or HAND, state.hand_tone if state.hand_sentence else Tone.INK2)
        for one in (self.fit, self.offset, self.remove, self._shift):
            one.setVisible(state.has_hand)
        if state.rows and not self.table.currentIndex().isValid():
            self.table.choose_row(0)

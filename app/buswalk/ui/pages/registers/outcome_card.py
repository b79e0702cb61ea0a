"""How far a move has come: what is to be done now, the steps behind it, and the places with who answers there."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.registers.move_state import MoveOutcome, MoveStep
from buswalk.ui.sizes import ROW_OUTCOME, TABLE_HEAD, TEXT
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import Text, sentence
from buswalk.ui.widgets.table import Table

COLUMNS = (Column("Place", 0), Column("Last look", 124))
SQUARE = 13
MOST_STEPS = 16
"""Eight writes, the looks between them and what was done before."""


class StepMark(QWidget):
    """A step: filled when it is done, outlined while it goes on; a line leads from one to the next."""

    def __init__(self, look: Look, place: int) -> None:
        super().__init__()
        self._look = look
        self._place = place
        self._is_done, self._is_last = True, True
        self.setFixedWidth(look.px(20))
        self.setMinimumHeight(look.px(21))
        self.setAccessibleName("done")

    def show_step(self, step: MoveStep, *, is_last: bool) -> None:
        """Show another state."""
        if (step.is_done, is_last) != (self._is_done, self._is_last):
            self._is_done, self._is_last = step.is_done, is_last
            self.setAccessibleName("done" if step.is_done else "going on")
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw line and square, the square beside the first line of words."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        side, middle, top = look.px(SQUARE), self.width() // 2, look.px(3)
        painter.setPen(QPen(QColor(colours.ink), 1.4 * look.factor))
        if self._place > 0:
            painter.drawLine(middle, 0, middle, top)
        if not self._is_last:
            painter.drawLine(middle, top + side, middle, self.height())
        box = QRectF(middle - side / 2, top, side, side)
        if self._is_done:
            painter.fillRect(box, QColor(colours.ink))
            return
        outline = QPen(QColor(colours.edge), 1.4 * look.factor)
        outline.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(outline)
        painter.drawRect(box)


class OutcomeCard(Card):
    """Shows a MoveOutcome."""

    def __init__(self, look: Look, go_back: Callable[[], None]) -> None:
        super().__init__(look, "Where it is")
        self._look = look
        self._headline = Text(look, look.bold(TEXT)).wrapped()
        self.body.addWidget(self._headline)
        self.places = Table(look, "places where it is looked for", COLUMNS, ROW_OUTCOME)
        self.body.addWidget(self.places)
        self.back = Button(look, "Back…")
        self.back.clicked.connect(lambda _checked=False: go_back())
        self.body.addWidget(button_row(look, self.back))
        grid = QGridLayout()
        grid.setContentsMargins(0, look.px(4), 0, 0)
        grid.setHorizontalSpacing(look.px(8))
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(2, 1)
        self._steps = tuple(
            (StepMark(look, at), Text(look, look.bold(TEXT)), sentence(look)) for at in range(MOST_STEPS)
        )
        for at, widgets in enumerate(self._steps):
            for column, widget in enumerate(widgets):
                if isinstance(widget, StepMark):
                    grid.addWidget(widget, at, column)
                else:
                    grid.addWidget(widget, at, column, Qt.AlignmentFlag.AlignTop)
        self.body.addLayout(grid)
        self.body.addStretch(1)

    def show_outcome(self, state: MoveOutcome) -> None:
        """Show another state."""
        self.show_title(state.title)
        self._headline.show_text(state.headline, state.headline_tone)
        self.places.setVisible(bool(state.rows))
        if state.rows:
            self.places.setFixedHeight(self._look.px(TABLE_HEAD + len(state.rows) * ROW_OUTCOME + 2))
            self.places.show_rows(state.rows)
        self.back.setVisible(bool(state.put_back))
        if state.put_back:
            self.back.show_words(state.put_back)
        self._show_steps(state.steps[-MOST_STEPS:])

    def _show_steps(self, steps: tuple[MoveStep, ...]) -> None:
        for at, (sign, name, words) in enumerate(self._steps):
            is_there = at < len(steps)
            for one in (sign, name, words):
                one.setVisible(is_there)
            if is_there:
                step = steps[at]
                sign.show_step(step, is_last=at == len(steps) - 1)
                name.show_text(step.name, Tone.INK)
                words.show_text(step.words, step.tone)

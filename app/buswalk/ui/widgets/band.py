"""The band under the page top: a fault of means, another client. Never a dialog; goes by itself."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Signal
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.look import Look, pen
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_in_table
from buswalk.ui.shapes.signs import draw_caution, draw_cross
from buswalk.ui.sizes import KEY_VALUE_TEXT, RADIUS, SPACE_M
from buswalk.ui.tone_colours import hue_of
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.labels import Text, sentence


class Band(QWidget):
    """Shows a BandState, or is not there at all. `pressed` tells the name of the action whose button was pressed."""

    pressed = Signal(str)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: BandState | None = None
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(62), look.px(SPACE_M) - 2, look.px(SPACE_M), look.px(SPACE_M) - 2)
        row.setSpacing(look.px(SPACE_M))
        column = QVBoxLayout()
        column.setSpacing(look.px(4))
        self._headline = Text(look, look.bold(KEY_VALUE_TEXT)).wrapped()
        self._words = sentence(look)
        column.addWidget(self._headline)
        column.addWidget(self._words)
        row.addLayout(column, 1)
        self._row = row
        self._buttons: tuple[Button, ...] = ()
        self.hide()

    def show_band(self, state: BandState | None) -> None:
        """Show, change or take away the band."""
        if state == self._state:
            return
        had = self._state
        self._state = state
        self.setVisible(state is not None)
        if state is None:
            return
        self._headline.show_text(state.headline, state.tone)
        self._words.show_text(state.words, Tone.INK)
        self._words.setVisible(bool(state.words))
        self.setAccessibleName(state.headline)
        self.setAccessibleDescription(state.words)
        if had is None or had.actions != state.actions:
            self._make_buttons(state.actions)
        self.update()

    @property
    def buttons(self) -> tuple[Button, ...]:
        """The buttons there are now, the likely one first."""
        return self._buttons

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw tint, outline and sign."""
        if self._state is None:
            return
        look, tone = self._look, self._state.tone
        hue = hue_of(look.colours, tone)
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(pen(hue.mark, 2.0))
        painter.setBrush(QColor(hue.tint))
        radius = RADIUS * look.factor
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), radius, radius)
        side = look.px(26)
        box = QRectF(look.px(19), (self.height() - side) / 2.0, side, side)
        match tone:
            case Tone.FAULT:
                draw_cross(painter, look.colours, box)
            case Tone.FOREIGN:
                draw_in_table(painter, OutcomeKind.FOREIGN_FRAME, box, Drawing(look.colours, look.factor))
            case _:
                draw_caution(painter, look.colours, box)

    def _make_buttons(self, actions: tuple[BandAction, ...]) -> None:
        for old in self._buttons:
            self._row.removeWidget(old)
            old.deleteLater()
        made: list[Button] = []
        for one in actions:
            weight = ButtonWeight.NORMAL if made else ButtonWeight.MAIN
            button = Button(self._look, one.words, weight, one.key)
            button.clicked.connect(lambda _checked=False, name=one.name: self.pressed.emit(name))
            self._row.addWidget(button)
            made.append(button)
        self._buttons = tuple(made)

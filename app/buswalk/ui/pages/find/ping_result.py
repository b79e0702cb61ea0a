"""The result of the last exchange in letters that are read from three metres, with its shape."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.ping_state import ResultState
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_outcome, draw_wire, extent_of
from buswalk.ui.sizes import CAP_HEIGHT_3_M, KEY_VALUE_TEXT, PAGE_NAME_TEXT, RADIUS
from buswalk.ui.tone_colours import hue_of, text_colour
from buswalk.ui.tones import Tone

USUAL_HEIGHT = 262
ADDRESS_CAPS = 80
SHAPE_SCALE = 4.0
SHAPE_ROOM = 128
SIDE, GAP = 24, 22
NOTE_ROOM = 32


class PingResult(QWidget):
    """Draws a ResultState, in letters of 66 px and more: a word too long for its line begins beside the address."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: ResultState | None = None
        self._word_font = look.bold_with_capitals(CAP_HEIGHT_3_M)
        self._address_font = look.bold_with_capitals(ADDRESS_CAPS)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setFixedHeight(look.px(USUAL_HEIGHT))
        self.setAccessibleName("result")

    def show_result(self, state: ResultState) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self.setAccessibleName(f"{state.address}: {state.word}")
        self.setAccessibleDescription(f"{state.name}, {state.about}. {state.note}")
        self.update()

    def word_lines(self) -> tuple[str, ...]:
        """Return the word as it is broken into lines: one, or one beside the address and one below."""
        if self._state is None:
            return ()
        whole = self._state.word
        metrics = QFontMetrics(self._word_font)
        side = self._look.px(SIDE)
        if " " not in whole or metrics.horizontalAdvance(whole) <= self.width() - self._left_of_word() - side:
            return (whole,)
        head, tail = whole.rsplit(" ", 1)
        return (head, tail)

    @property
    def word_font(self) -> QFont:
        """The face of the word, for tests."""
        return self._word_font

    def _left_of_word(self) -> int:
        return self._look.px(SIDE + SHAPE_ROOM + GAP)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw ground, address and name, shape and word, note."""
        state = self._state
        if state is None:
            return
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        is_plain = state.tone in (Tone.INK, Tone.INK2, Tone.INK3)
        hue = hue_of(colours, state.tone)
        painter.setPen(pen(colours.hair if is_plain else hue.mark, 1.0 if is_plain else 2.0))
        painter.setBrush(QColor(colours.panel if is_plain else hue.tint))
        radius = RADIUS * look.factor
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(1, 1, -1, -1), radius, radius)
        lines = self.word_lines()
        self._draw_head(painter, state, lines)
        self._draw_word(painter, state, lines)
        painter.setFont(look.regular(KEY_VALUE_TEXT))
        painter.setPen(QColor(colours.ink2))
        foot = self.height() - look.px(NOTE_ROOM)
        box = QRectF(look.px(SIDE), foot, self.width() - 2 * look.px(SIDE), look.px(NOTE_ROOM - 8))
        note = state.note if len(lines) == 1 or not state.name else f"{state.name} · {state.note}"
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter), note)

    @property
    def _address_base(self) -> int:
        return self._look.px(22) + QFontMetrics(self._address_font).capHeight()

    @property
    def _word_base(self) -> int:
        return self._address_base + self._look.px(28) + QFontMetrics(self._word_font).capHeight()

    def _right_of_address(self, state: ResultState, face: QFont) -> int:
        width = QFontMetrics(face).horizontalAdvance(state.address)
        return self._look.px(SIDE + GAP) + width

    def _draw_head(self, painter: QPainter, state: ResultState, lines: tuple[str, ...]) -> None:
        """Draw the address; at its right name and setting, or the first of two lines of the word."""
        look = self._look
        face = self._address_font if len(lines) == 1 else self._word_font
        painter.setFont(face)
        painter.setPen(QColor(look.colours.ink))
        base, left = self._address_base, self._right_of_address(state, face)
        painter.drawText(QPointF(look.px(SIDE) + look.px(4), base), state.address)
        if len(lines) > 1:
            painter.setFont(self._word_font)
            painter.setPen(QColor(text_colour(look.colours, state.tone)))
            painter.drawText(QPointF(max(left, self._left_of_word()), base), lines[0])
            return
        painter.setFont(look.bold(PAGE_NAME_TEXT + 3))
        room = self.width() - left - look.px(SIDE)
        name = QFontMetrics(painter.font()).elidedText(state.name, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QPointF(left, base - look.px(48)), name)
        painter.setFont(look.regular(KEY_VALUE_TEXT))
        painter.setPen(QColor(look.colours.ink2))
        painter.drawText(QPointF(left, base - look.px(16)), state.about)

    def _draw_word(self, painter: QPainter, state: ResultState, lines: tuple[str, ...]) -> None:
        painter.setFont(self._word_font)
        painter.setPen(QColor(text_colour(self._look.colours, state.tone)))
        left = self._left_of_word()
        if len(lines) > 1:
            left = max(left, self._right_of_address(state, self._word_font))
        painter.drawText(QPointF(left, self._word_base), lines[-1])
        if state.kind is not None:
            middle = self._word_base - QFontMetrics(self._word_font).capHeight() / 2.0
            self._draw_shape(painter, state.kind, state.exception_code, middle)

    def _draw_shape(self, painter: QPainter, kind: OutcomeKind, code: int, middle: float) -> None:
        look = self._look
        scale = SHAPE_SCALE * look.factor
        extent = extent_of(kind)
        wire_y = middle - (extent.top + extent.bottom) / 2.0 * scale
        left = look.px(SIDE) + (look.px(SHAPE_ROOM) - extent.width * scale) / 2.0
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        draw_wire(painter, look.colours, look.px(SIDE), look.px(SIDE + SHAPE_ROOM), wire_y)
        draw_outcome(painter, kind, QPointF(left, wire_y), Drawing(look.colours, scale, code))
        painter.restore()

"""The result of the last exchange in letters that are read from three metres, with its shape."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QResizeEvent
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
    """Draws a ResultState; long words break at their spaces, never in letters smaller than 66 px."""

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
        lines = self.word_lines()
        self._state = state
        self.setAccessibleName(f"{state.address}: {state.word}")
        self.setAccessibleDescription(f"{state.name}, {state.about}. {state.note}")
        if self.word_lines() != lines:
            self._fit()
        self.update()

    def word_lines(self) -> tuple[str, ...]:
        """Return the word as it is broken into lines."""
        if self._state is None:
            return ()
        room = self.width() - self._left_of_word() - self._look.px(SIDE)
        metrics = QFontMetrics(self._word_font)
        lines: list[str] = []
        for piece in self._state.word.split(" "):
            joined = f"{lines[-1]} {piece}" if lines else piece
            if lines and metrics.horizontalAdvance(joined) <= room:
                lines[-1] = joined
            else:
                lines.append(piece)
        return tuple(lines)

    @property
    def word_font(self) -> QFont:
        """The face of the word, for tests."""
        return self._word_font

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Break the word anew."""
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Take the height that address, lines of the word and note need."""
        lines = max(1, len(self.word_lines()))
        self.setFixedHeight(self._look.px(USUAL_HEIGHT) + (lines - 1) * self._line_height())

    def _line_height(self) -> int:
        return QFontMetrics(self._word_font).height()

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
        address_foot = self._draw_head(painter, state)
        self._draw_word(painter, state, address_foot)
        painter.setFont(look.regular(KEY_VALUE_TEXT))
        painter.setPen(QColor(colours.ink2))
        foot = self.height() - look.px(NOTE_ROOM)
        box = QRectF(look.px(SIDE), foot, self.width() - 2 * look.px(SIDE), look.px(NOTE_ROOM - 8))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter), state.note)

    def _draw_head(self, painter: QPainter, state: ResultState) -> int:
        """Draw the address and, at its right, name and setting; return where it ends."""
        look = self._look
        metrics = QFontMetrics(self._address_font)
        painter.setFont(self._address_font)
        painter.setPen(QColor(look.colours.ink))
        base = look.px(22) + metrics.capHeight()
        painter.drawText(QPointF(look.px(SIDE) + look.px(4), base), state.address)
        left = look.px(SIDE) + metrics.horizontalAdvance(state.address) + look.px(GAP)
        room = self.width() - left - look.px(SIDE)
        painter.setFont(look.bold(PAGE_NAME_TEXT + 3))
        name = QFontMetrics(painter.font()).elidedText(state.name, Qt.TextElideMode.ElideRight, room)
        painter.drawText(QPointF(left, base - look.px(48)), name)
        painter.setFont(look.regular(KEY_VALUE_TEXT))
        painter.setPen(QColor(look.colours.ink2))
        painter.drawText(QPointF(left, base - look.px(16)), state.about)
        return base

    def _draw_word(self, painter: QPainter, state: ResultState, address_foot: int) -> None:
        look = self._look
        metrics = QFontMetrics(self._word_font)
        lines = self.word_lines()
        base = address_foot + look.px(28) + metrics.capHeight()
        painter.setFont(self._word_font)
        painter.setPen(QColor(text_colour(look.colours, state.tone)))
        for at, line in enumerate(lines):
            painter.drawText(QPointF(self._left_of_word(), base + at * self._line_height()), line)
        if state.kind is not None:
            self._draw_shape(painter, state.kind, state.exception_code, base - metrics.capHeight() / 2.0)

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

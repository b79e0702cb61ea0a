"""The forecast, drawn: stops on a line of time that is logarithmic, spread where their words would meet."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import log

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.find.search_state import ForecastState, ForecastStop
from buswalk.ui.sizes import CAPTION_TEXT, KEY_VALUE_TEXT, TEXT
from buswalk.ui.widgets.focus_ring import draws_own_focus
from buswalk.ui.widgets.named_children import NamedChildren

LEAST_S = 0.05
BEFORE_FIRST = 3.0
"""The line begins at this part of the first stop's time."""
BETWEEN_WORDS = 10
WIRE, DONE_WIDTH, TICK, POINTER = 28, 6, 7, 6
TIMES_FOOT, WORDS_FOOT = 16, 47
LINE_HEIGHT = 16
HEAD_GAP = 18
LEAST_LINE = 220


def spread(wanted: Sequence[float], widths: Sequence[float], room: float) -> list[float]:
    """Return middles near the wanted ones, in order, at which words of these widths do not meet and stay within room.

    Where they do not fit at all they are evenly tight.
    """
    needed = [(one + other) / 2.0 for one, other in pairwise(widths)]
    scale = min(1.0, (room - (widths[0] + widths[-1]) / 2.0) / sum(needed)) if needed else 1.0
    placed = [max(widths[0] / 2.0, wanted[0])]
    for one, gap in zip(wanted[1:], needed, strict=True):
        placed.append(max(one, placed[-1] + gap * scale))
    placed[-1] = min(placed[-1], room - widths[-1] / 2.0)
    for at in range(len(placed) - 2, -1, -1):
        placed[at] = min(placed[at], placed[at + 1] - needed[at] * scale)
    return placed


class ForecastLine(QWidget):
    """Draws a ForecastState: what it is about at the left, the line of time beside it."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: ForecastState | None = None
        self._children = NamedChildren(self, self._child_box)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("forecast")
        draws_own_focus(self)

    def show_forecast(self, state: ForecastState) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self.setAccessibleName(state.spoken)
        self._children.show_names(lambda: [f"{one.words} after {one.time}" for one in state.stops])
        self.updateGeometry()
        self.update()

    def sizeHint(self) -> QSize:
        """Words and a line that can be read."""
        return QSize(self._head_width() + self._look.px(HEAD_GAP + LEAST_LINE), self._look.px(WORDS_FOOT + 4))

    def minimumSizeHint(self) -> QSize:
        """The same."""
        return self.sizeHint()

    def _head_width(self) -> int:
        state, look = self._state, self._look
        if state is None:
            return 0
        small = QFontMetrics(look.regular(CAPTION_TEXT))
        title = QFontMetrics(look.bold(TEXT)).horizontalAdvance(state.title)
        return max([title, *(small.horizontalAdvance(one) for one in state.lines)])

    def _widths(self, stops: Sequence[ForecastStop]) -> list[float]:
        look = self._look
        times, words = QFontMetrics(look.bold(KEY_VALUE_TEXT)), QFontMetrics(look.regular(CAPTION_TEXT))
        return [
            float(max(times.horizontalAdvance(one.time), words.horizontalAdvance(one.words)) + look.px(BETWEEN_WORDS))
            for one in stops
        ]

    @property
    def _left(self) -> float:
        return float(self._head_width() + self._look.px(HEAD_GAP))

    def _places(self, state: ForecastState) -> list[float]:
        """Return where the stops stand."""
        left, room = self._left, self.width() - self._left
        from_s = max(LEAST_S, state.stops[0].at_s) / BEFORE_FIRST
        whole = log(max(LEAST_S, state.stops[-1].at_s) / from_s)
        wanted = [room * log(max(from_s, one.at_s) / from_s) / whole for one in state.stops]
        return [left + one for one in spread(wanted, self._widths(state.stops), room)]

    def _now_at(self, state: ForecastState, places: Sequence[float], now_s: float) -> float:
        """Return where now is: between the stops before and after it, as their times say."""
        from_s = max(LEAST_S, state.stops[0].at_s) / BEFORE_FIRST
        times = [from_s, *(max(LEAST_S, one.at_s) for one in state.stops)]
        points = [self._left, *places]
        for (earlier_s, later_s), (begin, end) in zip(pairwise(times), pairwise(points), strict=True):
            if now_s < later_s:
                passed = log(max(now_s, earlier_s) / earlier_s) / log(later_s / earlier_s)
                return begin + (end - begin) * passed
        return points[-1]

    def _child_box(self, at: int) -> QRect:
        if self._state is None:
            return QRect(0, 0, 1, 1)
        width = self._widths(self._state.stops)[at]
        return QRectF(self._places(self._state)[at] - width / 2.0, 0, width, self.height()).toRect()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw words, line, stops and now."""
        state = self._state
        if state is None:
            return
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_head(painter, state)
        places = self._places(state)
        self._draw_line(painter, state, places)
        for stop, at in zip(state.stops, places, strict=True):
            self._draw_stop(painter, stop, at)

    def _draw_head(self, painter: QPainter, state: ForecastState) -> None:
        look, colours = self._look, self._look.colours
        painter.setFont(look.bold(TEXT))
        painter.setPen(QColor(colours.ink))
        painter.drawText(QPointF(0.0, look.px(TIMES_FOOT)), state.title)
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(colours.ink2))
        for at, line in enumerate(state.lines):
            painter.drawText(QPointF(0.0, look.px(TIMES_FOOT + LINE_HEIGHT * (at + 1))), line)

    def _draw_line(self, painter: QPainter, state: ForecastState, places: Sequence[float]) -> None:
        look, colours = self._look, self._look.colours
        wire, end = float(look.px(WIRE)), places[-1]
        painter.setPen(pen(colours.ink2, 1.4 * look.factor))
        painter.drawLine(QPointF(self._left, wire), QPointF(end, wire))
        if state.now_s is None:
            return
        now = self._now_at(state, places, state.now_s)
        half = look.px(DONE_WIDTH) / 2.0
        painter.fillRect(QRectF(self._left, wire - half, now - self._left, 2.0 * half), QColor(colours.ink))
        size = float(look.px(POINTER))
        top = wire - half - 1.0
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(QColor(colours.ink))
        painter.drawPolygon(
            QPolygonF([QPointF(now, top), QPointF(now - size, top - size), QPointF(now + size, top - size)])
        )

    def _draw_stop(self, painter: QPainter, stop: ForecastStop, at: float) -> None:
        look, colours = self._look, self._look.colours
        wire, reach = float(look.px(WIRE)), look.px(TICK)
        painter.setPen(pen(colours.ink3 if stop.is_past else colours.ink, 2.0 * look.factor))
        painter.drawLine(QPointF(at, wire - reach), QPointF(at, wire + reach))
        for font, words, foot, tone in (
            (look.bold(KEY_VALUE_TEXT), stop.time, TIMES_FOOT, colours.ink),
            (look.regular(CAPTION_TEXT), stop.words, WORDS_FOOT, colours.ink2),
        ):
            painter.setFont(font)
            painter.setPen(QColor(colours.ink3 if stop.is_past else tone))
            width = QFontMetrics(font).horizontalAdvance(words)
            painter.drawText(QPointF(at - width / 2.0, look.px(foot)), words)

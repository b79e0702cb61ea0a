"""Draws the plots with everything on them, on a widget or into a picture."""

from __future__ import annotations

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QFontMetrics, QPainter, QPolygonF

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.trend.axis_ticks import time_ticks, value_ticks
from buswalk.ui.pages.trend.curve_lines import CurveLines, curve_lines
from buswalk.ui.pages.trend.curve_pens import curve_pen, polygon
from buswalk.ui.pages.trend.plot_boxes import PlotBoxes, plot_boxes
from buswalk.ui.pages.trend.plot_layout import PlotState
from buswalk.ui.pages.trend.trend_state import PlotsState
from buswalk.ui.pages.trend.value_ranges import ValueRanges
from buswalk.ui.sizes import CAPTION_TEXT, TEXT

AXIS_ROOM = 56
LABEL_AT = 0.18
FLAG_HEIGHT, FLAG_PAD = 22, 4
LEAST_TIME_STEP, LEAST_VALUE_STEP = 90, 24
HEAD_ROOM = 22
"""Over the curves of each plot: its unit, and in the first one the marks."""
LEAST_HATCHED = 3.0
"""A gap of fewer px is one upright: hatching would not show, and costs."""
MOST_NAMED = 8
"""The longest gaps are named in the plots; all of them stand in the list."""
THICK = ((0.0, 0.0), (1.0, 0.0), (0.0, 1.0))
"""Two px wide by drawing one px thrice: a pen of two px takes eight times as long."""
THIN = ((0.0, 0.0),)
Strokes = tuple[tuple[float, float], ...]


class PlotsPainter:
    """Keeps the ranges of values from one drawing to the next."""

    def __init__(self, look: Look) -> None:
        self._look = look
        self._ranges = ValueRanges()

    def boxes(self, room: QRectF, state: PlotsState) -> PlotBoxes:
        """Return where the plots stand in a room."""
        return plot_boxes(self._look, room, [one.weight for one in state.plots])

    def draw(self, painter: QPainter, room: QRectF, state: PlotsState, strokes: Strokes) -> None:
        """Draw everything."""
        boxes = self.boxes(room, state)
        painter.setFont(self._look.regular(CAPTION_TEXT))
        self._times(painter, boxes, state)
        for box, plot in zip(boxes.boxes, state.plots, strict=True):
            self._plot(painter, boxes, box, (state, plot), strokes)
        self._marks(painter, boxes, state)
        self._gap_words(painter, boxes, state)
        self._cursor(painter, boxes, state)

    def _plot(
        self, painter: QPainter, boxes: PlotBoxes, box: QRectF, shown: tuple[PlotsState, PlotState], strokes: Strokes
    ) -> None:
        state, plot = shown
        window = state.window
        lines = [curve_lines(one.series, window.begins_s, window.ends_s, int(box.width())) for one in plot.curves]
        low, high = self._ranges.range_of(plot, lines)
        self._grid(painter, boxes, box, state, (low, high))
        self._hatch(painter, boxes, box, shown)
        scale = -_curve_height(box, self._look) / (high - low)
        self._spans(painter, boxes, box, state)
        painter.save()
        painter.setClipRect(box)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        for place, curve in enumerate(lines):
            painter.setPen(curve_pen(self._look.colours, place))
            across = curve.xs + box.left()
            down = np.clip((curve.values - low) * scale + box.bottom(), -1e4, 1e5)
            for begin, end in curve.spans:
                self._stroke(painter, polygon(across[begin:end], down[begin:end]), strokes)
        painter.restore()
        self._labels(painter, box, plot, [(one, low, scale) for one in lines])
        self._unit(painter, box, plot.unit)

    def _stroke(self, painter: QPainter, drawn: QPolygonF, strokes: Strokes) -> None:
        """Draw one line; a single value between two gaps is a small box."""
        for dx, dy in strokes:
            painter.translate(dx, dy)
            if drawn.size() == 1:
                painter.drawRect(QRectF(drawn.at(0) - QPointF(1, 1), drawn.at(0) + QPointF(1, 1)))
            else:
                painter.drawPolyline(drawn)
            painter.translate(-dx, -dy)

    # Behind the curves

    def _times(self, painter: QPainter, boxes: PlotBoxes, state: PlotsState) -> None:
        look = self._look
        most = max(2, int(boxes.width / look.px(LEAST_TIME_STEP)))
        painter.setPen(QColor(look.colours.ink2))
        for tick in time_ticks(state.wall_time, state.window.begins_s, state.window.ends_s, most):
            x = boxes.x_of(state.window, tick.at)
            half = QFontMetrics(painter.font()).horizontalAdvance(tick.words) / 2.0 + 1
            if boxes.left - look.px(20) <= x - half and x + half <= boxes.left + boxes.width + look.px(8):
                room = QRectF(x - half, boxes.bottom + look.px(4), 2 * half, look.px(18))
                painter.drawText(room, int(Qt.AlignmentFlag.AlignCenter), tick.words)

    def _grid(
        self, painter: QPainter, boxes: PlotBoxes, box: QRectF, state: PlotsState, span: tuple[float, float]
    ) -> None:
        look, colours = self._look, self._look.colours
        low, high = span
        faint = _between(colours.panel, colours.hair)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        most = max(2, int(_curve_height(box, look) / look.px(LEAST_VALUE_STEP)))
        for tick in value_ticks(low, high, most):
            y = round(box.bottom() - (tick.at - low) / (high - low) * _curve_height(box, look))
            painter.fillRect(int(box.left()), y, int(box.width()), 1, faint)
            painter.setPen(QColor(colours.ink2))
            room = QRectF(box.left() - look.px(AXIS_ROOM), y - look.px(9), look.px(AXIS_ROOM - 10), look.px(18))
            if box.top() + look.px(4) < y < box.bottom() - look.px(4):
                painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight), tick.words)
        step = max(2, int(boxes.width / look.px(LEAST_TIME_STEP)))
        for tick in time_ticks(state.wall_time, state.window.begins_s, state.window.ends_s, step):
            x = round(boxes.x_of(state.window, tick.at))
            painter.fillRect(x, int(box.top()), 1, int(box.height()), faint)
        painter.fillRect(int(box.left()), int(box.top()), 1, int(box.height()), QColor(colours.edge))
        painter.fillRect(int(box.left()), int(box.bottom()), int(box.width()), 1, QColor(colours.edge))

    def _hatch(self, painter: QPainter, boxes: PlotBoxes, box: QRectF, shown: tuple[PlotsState, PlotState]) -> None:
        state, plot = shown
        devices = {one.key.device for one in plot.curves}
        mark = QColor(self._look.colours.doubt.mark)
        painter.save()
        painter.setClipRect(box)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing, on=False)
        narrow: list[QLineF] = []
        painter.setPen(mark)
        drawn_to = box.left() - 1.0
        for gap in state.gaps:
            left, right = boxes.x_of(state.window, gap.begins_s), boxes.x_of(state.window, gap.ends_s)
            if gap.device not in devices or right < drawn_to + 0.5:
                continue
            drawn_to = right
            if right - left < LEAST_HATCHED:
                narrow.append(QLineF(left, box.top(), left, box.bottom()))
                continue
            span = QRectF(left, box.top(), right - left, box.height())
            painter.fillRect(span, QBrush(mark, Qt.BrushStyle.BDiagPattern))
            narrow += [QLineF(span.topLeft(), span.bottomLeft()), QLineF(span.topRight(), span.bottomRight())]
        painter.drawLines(narrow)
        painter.restore()

    def _spans(self, painter: QPainter, boxes: PlotBoxes, box: QRectF, state: PlotsState) -> None:
        """Lay a ground under the span of each mark that has an end."""
        ground = _between(self._look.colours.panel, self._look.colours.select)
        for flag in state.marks:
            if flag.ends_s is not None:
                left = max(boxes.x_of(state.window, flag.at_s), box.left() + 1)
                right = min(boxes.x_of(state.window, flag.ends_s), box.right())
                painter.fillRect(QRectF(left, box.top(), max(right - left, 0.0), box.height()), ground)

    # Over the curves

    def _unit(self, painter: QPainter, box: QRectF, unit: str) -> None:
        if unit:
            place = QPointF(box.left() + self._look.px(10), box.top() + self._look.px(4))
            self._words_on_panel(painter, place, unit, self._look.colours.ink)

    def _words_on_panel(self, painter: QPainter, place: QPointF, words: str, colour: str) -> QRectF:
        """Write bold words with the panel behind them; return the room they take."""
        look = self._look
        font = look.bold(TEXT)
        metrics = QFontMetrics(font)
        room = QRectF(place.x() - 2, place.y(), metrics.horizontalAdvance(words) + 4, metrics.height())
        ground = QColor(look.colours.panel)
        ground.setAlpha(225)
        painter.fillRect(room, ground)
        painter.setFont(font)
        painter.setPen(QColor(colour))
        painter.drawText(room, int(Qt.AlignmentFlag.AlignCenter), words)
        painter.setFont(look.regular(CAPTION_TEXT))
        return room

    def _labels(
        self, painter: QPainter, box: QRectF, plot: PlotState, lines: list[tuple[CurveLines, float, float]]
    ) -> None:
        """Write each curve's name near it, from above, none over another."""
        look = self._look
        colours = look.colours
        hues = (colours.ink, colours.focus, colours.ink3, colours.ink2)
        x = box.left() + LABEL_AT * box.width()
        wanted = []
        for place, (curve, low, scale) in enumerate(lines):
            if len(curve.xs):
                at = min(max(LABEL_AT * box.width(), float(curve.xs[0])), float(curve.xs[-1]))
                y = curve.value_near(at)
                wanted.append((box.bottom() + (y - low) * scale, place))
                x = min(x, box.left() + max(at, 0.0) + look.px(4))
        height = QFontMetrics(look.bold(TEXT)).height()
        free = box.top()
        ordered = sorted(wanted)
        for at, (y, place) in enumerate(ordered):
            below = len(ordered) - at
            top = min(max(y - height - look.px(3), free), box.bottom() - below * height)
            self._words_on_panel(painter, QPointF(x, top), plot.curves[place].label, hues[place % len(hues)])
            free = top + height

    def _marks(self, painter: QPainter, boxes: PlotBoxes, state: PlotsState) -> None:
        look, colours = self._look, self._look.colours
        font = look.bold(CAPTION_TEXT)
        metrics = QFontMetrics(font)
        free = [boxes.left] * 3
        for flag in state.marks:
            x = round(boxes.x_of(state.window, flag.at_s))
            end = x if flag.ends_s is None else round(boxes.x_of(state.window, flag.ends_s))
            painter.setPen(pen(colours.ink, 1.5 * look.factor))
            for upright in {x, end}:
                if boxes.left <= upright <= boxes.left + boxes.width:
                    painter.drawLines([QLineF(upright, box.top(), upright, box.bottom()) for box in boxes.boxes])
            x = max(x, round(boxes.left))
            if flag.ends_s is not None:
                reach = min(end, boxes.left + boxes.width) - x
                painter.fillRect(QRectF(x, boxes.top, reach, 3 * look.factor), QColor(colours.ink))
            words = f"{flag.number} {flag.words}"
            width = metrics.horizontalAdvance(words) + 2 * look.px(FLAG_PAD)
            left = min(float(x), boxes.left + boxes.width - width)
            row = next((at for at, right in enumerate(free) if left >= right), len(free) - 1)
            free[row] = left + width + 2
            top = boxes.top + row * look.px(FLAG_HEIGHT)
            room = QRectF(left, top, width, look.px(FLAG_HEIGHT))
            painter.fillRect(room, QColor(colours.solid))
            painter.setFont(font)
            painter.setPen(QColor(colours.onsolid))
            painter.drawText(room, int(Qt.AlignmentFlag.AlignCenter), words)

    def _gap_words(self, painter: QPainter, boxes: PlotBoxes, state: PlotsState) -> None:
        """Name the gaps beside them in the first plot that has them; those without room stand in the list."""
        look = self._look
        metrics = QFontMetrics(look.bold(TEXT))
        taken: dict[int, float] = {}
        right_end = boxes.left + boxes.width
        longest = sorted(state.gaps, key=lambda one: one.begins_s - one.ends_s)[:MOST_NAMED]
        for gap in sorted(longest, key=lambda one: one.begins_s):
            at = next(
                (i for i, plot in enumerate(state.plots) if any(one.key.device == gap.device for one in plot.curves)),
                None,
            )
            if at is None:
                continue
            width = metrics.horizontalAdvance(gap.words) + 4
            x = boxes.x_of(state.window, min(gap.ends_s, state.window.ends_s)) + look.px(8)
            if x + width > right_end:
                x = boxes.x_of(state.window, max(gap.begins_s, state.window.begins_s)) - look.px(8) - width
            if x < max(boxes.left, taken.get(at, boxes.left)):
                continue
            taken[at] = x + width + look.px(8)
            place = QPointF(x, boxes.boxes[at].bottom() - metrics.height() - look.px(16))
            self._words_on_panel(painter, place, gap.words, look.colours.doubt.text)

    def _cursor(self, painter: QPainter, boxes: PlotBoxes, state: PlotsState) -> None:
        if state.cursor_s is None or not state.window.begins_s <= state.cursor_s <= state.window.ends_s:
            return
        look = self._look
        x = boxes.x_of(state.window, state.cursor_s)
        painter.setPen(pen(look.colours.focus, 2.0 * look.factor))
        for box in boxes.boxes:
            painter.drawLine(QPointF(x, box.top()), QPointF(x, box.bottom()))
        width = QFontMetrics(look.bold(TEXT)).horizontalAdvance(state.cursor_words) + look.px(12)
        is_right = x + width < boxes.left + boxes.width
        place = QPointF(x + look.px(6) if is_right else x - width, boxes.boxes[0].bottom() - look.px(36))
        self._words_on_panel(painter, place, state.cursor_words, look.colours.focus)


def _between(ground: str, line: str) -> QColor:
    """Return a colour half way, opaque: lines that are blended cost twenty times as much."""
    a, b = QColor(ground), QColor(line)
    return QColor((a.red() + b.red()) // 2, (a.green() + b.green()) // 2, (a.blue() + b.blue()) // 2)


def _curve_height(box: QRectF, look: Look) -> float:
    return max(1.0, box.height() - look.px(HEAD_ROOM))

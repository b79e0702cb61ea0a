"""Draws the rows of an annotated exchange: boxes 42 x 26, braces with their meaning, words beside or below."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPainterPath, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.faults.exchange_state import BesideWords, BoxLook, Brace, ByteBox, FrameRow
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_in_table, draw_request
from buswalk.ui.sizes import CAPTION_TEXT, STRIP_LABEL_TEXT, TEXT, VALUE_TEXT
from buswalk.ui.tone_colours import text_colour
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.named_children import NamedChildren

BOX_WIDTH, BOX_HEIGHT, PITCH = 42, 26, 46
LABELS = 184
SIGN = 36
BRACE_AT, BRACE_HEIGHT, BRACE_WORDS = 30, 5, 16
LINE = BRACE_AT + BRACE_HEIGHT + BRACE_WORDS + 5
WORDS_LINE = 17
LABEL_LINES = 40
LEAST_WORDS_WIDTH = 190
TEETH = 5


@dataclass(frozen=True, slots=True)
class _Line:
    """A part of a row's boxes, on one line."""

    first: int
    count: int
    top: int


@dataclass(frozen=True, slots=True)
class _Placed:
    """A row with its place.

    Attributes:
        words_at: Where the words beside it begin.
    """

    row: FrameRow
    top: int
    height: int
    lines: tuple[_Line, ...]
    words_at: QPointF
    words: tuple[BesideWords, ...]


class ByteRows(QWidget):
    """As high as its rows need at its width; never wider than it is."""

    def __init__(self, look: Look, name: str) -> None:
        super().__init__()
        self._look = look
        self._rows: tuple[FrameRow, ...] = ()
        self._placed: tuple[_Placed, ...] = ()
        self.setAccessibleName(name)
        policy = QSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self.setSizePolicy(policy)
        self._children = NamedChildren(self, self._box_of)

    def show_rows(self, rows: tuple[FrameRow, ...]) -> None:
        """Show these rows."""
        if rows == self._rows:
            return
        self._rows = rows
        self.setAccessibleDescription(". ".join(one.told for one in rows))
        self._place()

    def sizeHint(self) -> QSize:
        """What the rows need."""
        return QSize(self._look.px(LABELS + 4 * PITCH), self._needed())

    def minimumSizeHint(self) -> QSize:
        """The same height."""
        return self.sizeHint()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Break lines anew."""
        super().resizeEvent(event)
        self._place()

    def labels_too_wide(self) -> list[str]:
        """Return labels that do not fit before the boxes: none."""
        room = self._labels() - self._look.px(SIGN)
        bold, small = QFontMetrics(self._look.bold(TEXT)), QFontMetrics(self._look.regular(CAPTION_TEXT))
        words = [one.label for one in self._rows if bold.horizontalAdvance(one.label) > room]
        return words + [one.under for one in self._rows if small.horizontalAdvance(one.under) > room]

    def braces_too_wide(self) -> list[str]:
        """Return words that do not fit under their boxes: none, if they are chosen well."""
        return [
            brace.words
            for row in self._rows
            for brace in row.braces
            if self._metrics(self._brace_size(brace)).horizontalAdvance(brace.words) > self._brace_room(brace)
        ]

    def _needed(self) -> int:
        return max((one.top + one.height for one in self._placed), default=self._look.px(LINE))

    def _box_of(self, at: int) -> QRect:
        placed = self._placed[at]
        return QRect(0, placed.top, self.width(), placed.height)

    def _labels(self) -> int:
        return self._look.px(LABELS)

    def _place(self) -> None:
        look, placed, top = self._look, [], 0
        room = max(4, (self.width() - self._labels()) // look.px(PITCH))
        for row in self._rows:
            lines = tuple(
                _Line(first, min(room, len(row.boxes) - first), top + at * look.px(LINE))
                for at, first in enumerate(range(0, len(row.boxes), room))
            )
            placed.append(self._with_words(row, top, lines))
            top += placed[-1].height
        self._placed = tuple(placed)
        if self.height() != self._needed():
            self.setFixedHeight(self._needed())
        self._children.show_names(lambda: [one.told for one in self._rows])
        self.update()

    def _with_words(self, row: FrameRow, top: int, lines: tuple[_Line, ...]) -> _Placed:
        """Put words right of the last boxes where there is room, else below them."""
        look = self._look
        boxes_height = look.px(LINE) * len(lines) or look.px(LABEL_LINES)
        if not lines:
            left, words_top = self._labels(), top
        else:
            left, words_top = self._labels() + lines[-1].count * look.px(PITCH) + look.px(10), lines[-1].top
        if self.width() - left < look.px(LEAST_WORDS_WIDTH):
            left, words_top = self._labels(), top + boxes_height - look.px(4)
        words = tuple(self._broken(row.beside, self.width() - left))
        height = max(boxes_height, words_top - top + look.px(WORDS_LINE) * len(words) + look.px(6))
        return _Placed(row, top, height, lines, QPointF(left, words_top), words)

    def _broken(self, beside: tuple[BesideWords, ...], width: int) -> Iterator[BesideWords]:
        """Break words into lines that fit."""
        for one in beside:
            metrics = self._words_metrics(one)
            line = ""
            for word in one.words.split(" "):
                longer = f"{line} {word}".strip()
                if line and metrics.horizontalAdvance(longer) > width:
                    yield BesideWords(line, one.tone)
                    line = word
                else:
                    line = longer
            yield BesideWords(line, one.tone)

    def _words_metrics(self, one: BesideWords) -> QFontMetrics:
        is_plain = one.tone in (Tone.INK, Tone.INK2)
        return QFontMetrics(self._look.regular(TEXT) if is_plain else self._look.bold(TEXT))

    # Drawing

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the rows."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        for one in self._placed:
            self._draw_label(painter, one)
            for line in one.lines:
                for at in range(line.count):
                    self._draw_box(painter, one.row.boxes[line.first + at], self._left(at), line.top)
                for brace in one.row.braces:
                    self._draw_brace(painter, brace, line)
            self._draw_words(painter, one)

    def _left(self, at: int) -> float:
        return float(self._labels() + at * self._look.px(PITCH))

    def _draw_label(self, painter: QPainter, placed: _Placed) -> None:
        look, row = self._look, placed.row
        top = placed.top + look.px(2)
        sign = QRectF(0, top, look.px(SIGN - 4), look.px(22))
        if row.is_request:
            draw_request(
                painter,
                QPointF(sign.center().x() - 4.5 * look.factor, sign.bottom()),
                Drawing(look.colours, look.factor),
            )
        elif row.kind is not None:
            draw_in_table(painter, row.kind, sign, Drawing(look.colours, look.factor, row.exception_code))
        painter.setFont(look.bold(TEXT))
        painter.setPen(QColor(text_colour(look.colours, row.tone)))
        room = QRectF(look.px(SIGN), top, self._labels() - look.px(SIGN), look.px(17))
        painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), row.label)
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(look.colours.ink2))
        painter.drawText(room.translated(0, look.px(16)), int(Qt.AlignmentFlag.AlignVCenter), row.under)

    def _draw_box(self, painter: QPainter, box: ByteBox, left: float, top: float) -> None:
        look, colours = self._look, self._look.colours
        rect = QRectF(left + 0.5, top + 0.5, look.px(BOX_WIDTH), look.px(BOX_HEIGHT))
        outline, fill, ink = QPen(QColor(colours.edge)), colours.sunk, colours.ink
        match box.look:
            case BoxLook.DAMAGED:
                outline, fill, ink = pen(colours.fault.mark, 1.6), colours.fault.tint, colours.fault.text
            case BoxLook.STRAY:
                outline, fill, ink = pen(colours.doubt.mark, 1.6), colours.doubt.tint, colours.doubt.text
            case BoxLook.FOREIGN:
                outline, fill, ink = pen(colours.foreign.mark, 1.6), colours.foreign.tint, colours.foreign.text
            case BoxLook.PUT_BACK | BoxLook.MISSING:
                outline, fill, ink = QPen(QColor(colours.edge)), colours.panel, colours.ink2
                outline.setStyle(Qt.PenStyle.DashLine)
            case BoxLook.PLAIN:
                pass
        painter.setPen(outline)
        painter.setBrush(QColor(fill))
        painter.drawPath(_torn(rect) if box.look is BoxLook.DAMAGED else _whole(rect))
        font = look.fixed(VALUE_TEXT)
        font.setBold(True)
        painter.setFont(font)
        painter.setPen(QColor(ink))
        room = rect.adjusted(0, 0, 0, -look.px(4)) if box.look is BoxLook.DAMAGED else rect
        painter.drawText(room, int(Qt.AlignmentFlag.AlignCenter), box.words)

    def _draw_brace(self, painter: QPainter, brace: Brace, line: _Line) -> None:
        first = max(brace.first, line.first)
        last = min(brace.first + brace.count, line.first + line.count)
        if first >= last:
            return
        look = self._look
        left, right = self._left(first - line.first) + 1, self._left(last - line.first) - look.px(PITCH - BOX_WIDTH)
        top, foot = line.top + look.px(BRACE_AT), line.top + look.px(BRACE_AT + BRACE_HEIGHT)
        colour = text_colour(look.colours, brace.tone)
        painter.setPen(pen(colour, 1.2))
        painter.drawPolyline([QPointF(left, top), QPointF(left, foot), QPointF(right, foot), QPointF(right, top)])
        if first != brace.first:
            return
        size = self._brace_size(brace)
        painter.setFont(look.bold(size) if brace.tone is not Tone.INK2 else look.regular(size))
        painter.setPen(QColor(colour))
        half = self._brace_room(brace) / 2.0
        middle = (left + right) / 2.0
        room = QRectF(middle - half, foot + 1, 2 * half, look.px(BRACE_WORDS))
        painter.drawText(room, int(Qt.AlignmentFlag.AlignCenter | Qt.TextFlag.TextDontClip), brace.words)

    def _draw_words(self, painter: QPainter, placed: _Placed) -> None:
        look = self._look
        top = placed.words_at.y() + look.px(4)
        for one in placed.words:
            painter.setFont(look.regular(TEXT) if one.tone in (Tone.INK, Tone.INK2) else look.bold(TEXT))
            painter.setPen(QColor(text_colour(look.colours, one.tone)))
            room = QRectF(placed.words_at.x(), top, self.width() - placed.words_at.x(), look.px(WORDS_LINE))
            painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), one.words)
            top += look.px(WORDS_LINE)

    def _brace_room(self, brace: Brace) -> float:
        return float(brace.count * self._look.px(PITCH) + self._look.px(6))

    def _brace_size(self, brace: Brace) -> int:
        """Take the smaller face where the usual one is too wide."""
        metrics = self._metrics(CAPTION_TEXT)
        return CAPTION_TEXT if metrics.horizontalAdvance(brace.words) <= self._brace_room(brace) else STRIP_LABEL_TEXT

    def _metrics(self, size: int) -> QFontMetrics:
        return QFontMetrics(self._look.bold(size))


def _whole(rect: QRectF) -> QPainterPath:
    path = QPainterPath()
    path.addRect(rect)
    return path


def _torn(rect: QRectF) -> QPainterPath:
    """Return a box whose lower edge is torn into teeth."""
    path = QPainterPath(rect.topLeft())
    path.lineTo(rect.topRight())
    step = rect.width() / TEETH
    high, low = rect.bottom() - 5.0, rect.bottom() + 2.0
    path.lineTo(rect.right(), high)
    for tooth in range(TEETH):
        right = rect.right() - tooth * step
        path.lineTo(right - step / 2.0, low)
        path.lineTo(right - step, high)
    path.closeSubpath()
    return path

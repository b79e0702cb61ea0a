"""The whole strip: legend at the left, the wire, the sentence of the last outcome at the right."""

from __future__ import annotations

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.page import Narrow
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_outcome, draw_wire, extent_of
from buswalk.ui.sizes import CAPTION_TEXT, STRIP_LABEL_TEXT, TEXT, VALUE_TEXT
from buswalk.ui.strip.canvas import HIGH, LOW, StripCanvas
from buswalk.ui.strip.presenter import StripPresenter
from buswalk.ui.strip.slots import Sentence, StripState
from buswalk.ui.tone_colours import hue_of, text_colour

LEGEND, LEGEND_NARROW = 148, 96
PANEL, PANEL_NARROW = 268, 200
PANEL_SHAPE, PANEL_SHAPE_NARROW = 1.15, 0.8
ASKED, CAME_BACK = "↓ asked", "↑ came back"


class StripView(QWidget):
    """Draws a StripPresenter's state; 56 high, 40 in low windows."""

    def __init__(self, look: Look, narrow: Narrow, presenter: StripPresenter) -> None:
        super().__init__()
        self._look = look
        self._presenter = presenter
        self.setAccessibleName("live strip of the line")
        state = presenter.state
        self.canvas = StripCanvas(look, state)
        self._legend = _Legend(look, narrow)
        self._sentence = SentenceWidget(look, narrow)
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 1)
        row.setSpacing(0)
        for one in (self._legend, self.canvas, self._sentence):
            row.addWidget(one)
        self.canvas.cursor_moved.connect(self._moved)
        self.canvas.pointed.connect(self._pointed)
        self.canvas.held.connect(self._hold)
        self.be_low(is_low=False)
        self.refresh()

    def be_low(self, *, is_low: bool) -> None:
        """Take the height for a low window, or the usual one."""
        self.setFixedHeight(self._look.px(LOW if is_low else HIGH) + 1)

    def refresh(self) -> None:
        """Draw the presenter's state."""
        state = self._presenter.state
        self.canvas.show_state(state)
        self._sentence.show_state(state)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the line that parts the strip from the page."""
        painter = QPainter(self)
        painter.setPen(pen(self._look.colours.edge, 1.0))
        painter.drawLine(0, self.height() - 1, self.width(), self.height() - 1)

    def _moved(self, step: int) -> None:
        self._presenter.move_cursor(step)
        self.refresh()

    def _pointed(self, from_end: int) -> None:
        self._presenter.point_at(from_end if from_end >= 0 else None)
        self.refresh()

    def _hold(self) -> None:
        self._presenter.hold()
        self.refresh()


class _Legend(QWidget):
    """Says which side of the wire is which."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self._look = look
        self._is_narrow = narrow is Narrow.YES
        self.setAccessibleName("above the wire what was asked, below it what came back")
        self.setFixedWidth(look.px(LEGEND_NARROW if self._is_narrow else LEGEND))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the words: three lines, two in low windows, no heading in narrow ones."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours.bar))
        painter.setPen(pen(colours.hair, 1.0))
        painter.drawLine(self.width() - 1, 0, self.width() - 1, self.height())
        is_low = self.height() < look.px((HIGH + LOW) / 2)
        small = look.regular(STRIP_LABEL_TEXT)
        lines = [(look.bold(CAPTION_TEXT), colours.ink, "On the line")] if not self._is_narrow else []
        if is_low and not self._is_narrow:
            lines.append((small, colours.ink2, "↓ asked  ↑ back"))
        else:
            lines += [(small, colours.ink2, ASKED), (small, colours.ink2, CAME_BACK)]
        step = look.px(16)
        top = (self.height() - step * len(lines)) / 2.0
        for font, value, words in lines:
            painter.setFont(font)
            painter.setPen(QColor(value))
            box = QRectF(look.px(10 if self._is_narrow else 14), top, self.width(), step)
            painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter), words)
            top += step


class SentenceWidget(QWidget):
    """The last outcome in words, with its shape; tinted while abnormal."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self._look = look
        self._is_narrow = narrow is Narrow.YES
        self._sentence: Sentence | None = None
        self._is_tinted = False
        self.setFixedWidth(look.px(PANEL_NARROW if self._is_narrow else PANEL))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)
        self.setAccessibleName("last outcome")

    def show_state(self, state: StripState) -> None:
        """Show the sentence of a state."""
        if (state.sentence, state.is_tinted) == (self._sentence, self._is_tinted):
            return
        self._sentence, self._is_tinted = state.sentence, state.is_tinted
        self.setAccessibleDescription(f"{state.sentence.headline}, {state.sentence.words}")
        self.update()

    def room(self) -> int:
        """Px that a line of words has."""
        return self.width() - self._words_left() - self._look.px(6)

    def _words_left(self) -> int:
        has_shape = self._sentence is not None and self._sentence.kind is not None
        if not has_shape:
            return self._look.px(14)
        return self._look.px(48 if self._is_narrow else 54)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw ground, shape and the two lines."""
        sentence, look = self._sentence, self._look
        if sentence is None:
            return
        colours = look.colours
        painter = QPainter(self)
        tone = sentence.tone
        painter.fillRect(self.rect(), QColor(hue_of(colours, tone).tint if self._is_tinted else colours.sunk))
        painter.setPen(pen(colours.hair, 1.0))
        painter.drawLine(0, 0, 0, self.height())
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        self._draw_shape(painter, sentence)
        headline, words = (
            (sentence.narrow_headline, sentence.narrow_words)
            if self._is_narrow
            else (sentence.headline, sentence.words)
        )
        left, middle = self._words_left(), self.height() / 2.0
        step = look.px(18 if self.height() > look.px(48) else 17)
        painter.setFont(look.bold(TEXT if self._is_narrow else VALUE_TEXT))
        painter.setPen(QColor(text_colour(colours, tone)))
        at_left = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        painter.drawText(QRectF(left, middle - step, self.width() - left, step), at_left, headline)
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(text_colour(colours, tone) if self._is_tinted else colours.ink2))
        painter.drawText(QRectF(left, middle, self.width() - left, step), at_left, words)

    def _draw_shape(self, painter: QPainter, sentence: Sentence) -> None:
        if sentence.kind is None:
            return
        look = self._look
        scale = look.factor * (PANEL_SHAPE_NARROW if self._is_narrow else PANEL_SHAPE)
        extent = extent_of(sentence.kind)
        begin, end = look.px(7), self._words_left() - look.px(8)
        wire_y = self.height() / 2.0 - (extent.top + extent.bottom) / 2.0 * scale
        draw_wire(painter, look.colours, begin, end, wire_y)
        left = (begin + end - extent.width * scale) / 2.0
        drawing = Drawing(look.colours, scale, sentence.exception_code)
        draw_outcome(painter, sentence.kind, QPointF(left, wire_y), drawing)

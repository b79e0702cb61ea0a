"""Small drawings of the write box: the lock, and the looks at a written value along their line."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.registers.registers_state import StepKind, WriteStep
from buswalk.ui.shapes.signs import draw_lock, draw_open_lock
from buswalk.ui.sizes import TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.labels import Text

STEPS = 4
STEP_HEIGHT = 21
SQUARE = 13


class LockSign(QWidget):
    """The lock, open or shut."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._is_open = False
        self.setFixedSize(look.px(22), look.px(24))
        self.setAccessibleName("locked")

    def show_open(self, *, is_open: bool) -> None:
        """Show it open or shut."""
        if is_open is not self._is_open:
            self._is_open = is_open
            self.setAccessibleName("open" if is_open else "locked")
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(1, 1, -1, -1)
        (draw_open_lock if self._is_open else draw_lock)(painter, self._look.colours, box)


class StepSign(QWidget):
    """A look: filled when it is done, outlined while it is waited for; a line leads from one to the next."""

    def __init__(self, look: Look, place: int) -> None:
        super().__init__()
        self._look = look
        self._place = place
        self._kind = StepKind.WAITING
        self.setFixedSize(look.px(20), look.px(STEP_HEIGHT))
        self.setAccessibleName(StepKind.WAITING.value)

    def show_kind(self, kind: StepKind) -> None:
        """Show another state."""
        if kind is not self._kind:
            self._kind = kind
            self.setAccessibleName(kind.value)
            self.update()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw line and square."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        side = look.px(SQUARE)
        middle = QRectF(self.rect()).center()
        painter.setPen(QPen(QColor(colours.ink), 1.4 * look.factor))
        if self._place > 0:
            painter.drawLine(int(middle.x()), 0, int(middle.x()), int(middle.y() - side / 2))
        if self._place < STEPS - 1:
            painter.drawLine(int(middle.x()), int(middle.y() + side / 2), int(middle.x()), self.height())
        box = QRectF(middle.x() - side / 2, middle.y() - side / 2, side, side)
        if self._kind is StepKind.DONE:
            painter.fillRect(box, QColor(colours.ink))
            return
        outline = QPen(QColor(colours.edge), 1.4 * look.factor)
        outline.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(outline)
        painter.drawRect(box)


class StepsView(QWidget):
    """The four looks."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName("looks at the written value")
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(look.px(10))
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(3, 1)
        self._rows: list[tuple[StepSign, Text, Text, Text]] = []
        for i in range(STEPS):
            sign = StepSign(look, i)
            texts = (Text(look, look.bold(TEXT)), Text(look, look.bold(TEXT)), Text(look, look.regular(TEXT)))
            for column, widget in enumerate((sign, *texts)):
                grid.addWidget(widget, i, column)
            self._rows.append((sign, *texts))

    def show_steps(self, steps: tuple[WriteStep, ...]) -> None:
        """Show the looks; fewer than four where a write has none."""
        for i, (sign, when, value, verdict) in enumerate(self._rows):
            is_there = i < len(steps)
            for one in (sign, when, value, verdict):
                one.setVisible(is_there)
            if is_there:
                step = steps[i]
                tone = Tone.INK if step.kind is StepKind.DONE else Tone.INK2
                sign.show_kind(step.kind)
                when.show_text(step.when, tone)
                value.show_text(step.value, tone)
                verdict.show_text(step.verdict, tone)

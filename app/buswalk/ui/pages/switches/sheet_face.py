"""The sheet of labels on screen: white paper at its true size in both palettes, pages walked by keys."""

from __future__ import annotations

from PySide6.QtCore import QRect, QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QScrollArea, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.switches.label_sheet import SheetState
from buswalk.ui.printing.mm_painter import MmPainter
from buswalk.ui.printing.page import HEIGHT_MM, WIDTH_MM
from buswalk.ui.printing.pdf import draw_page
from buswalk.ui.sizes import SPACE_S
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.labels import sentence
from buswalk.ui.widgets.named_children import NamedChildren

PX_PER_MM = 96.0 / 25.4
EDGE = 1
SCROLLED = 60


class SheetFace(QWidget):
    """Shows a SheetState. Says by how many pages to go on, which one to go to, what to do."""

    stepped = Signal(int)
    went_to = Signal(int)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self._pages = 1
        self.setAccessibleName("sheet of labels")
        self.close_button = Button(look, "Close", ButtonWeight.NORMAL, "Esc")
        self.before = Button(look, "Page before", ButtonWeight.NORMAL, "Left")
        self.after = Button(look, "Page after", ButtonWeight.NORMAL, "Right")
        self.print = Button(look, "Print…", ButtonWeight.MAIN, "Ctrl+P")
        self.before.clicked.connect(lambda _checked=False: self.stepped.emit(-1))
        self.after.clicked.connect(lambda _checked=False: self.stepped.emit(1))
        self._said = sentence(look)
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        if narrow is Narrow.YES:
            row.addStretch(1)
            column.addWidget(self._said)
        else:
            row.addWidget(self._said, 1000)
            row.addStretch(1)
        for one in (self.before, self.after, self.close_button, self.print):
            row.addWidget(one)
        column.addLayout(row)
        self.paper = PaperArea(look)
        self.paper.stepped.connect(self.stepped)
        self.paper.went_to.connect(lambda at: self.went_to.emit(at if at >= 0 else self._pages - 1))
        column.addWidget(self.paper, 1)

    def show_sheet(self, state: SheetState) -> None:
        """Show a page."""
        self._pages = state.pages
        self._said.show_text(state.said, Tone.DOUBT)
        self._said.setVisible(bool(state.said))
        self.paper.show_page(state)
        _allow(self.before, is_there=state.at > 0, reason="this is the first page")
        _allow(self.after, is_there=state.at < state.pages - 1, reason="this is the last page")


class PaperArea(QScrollArea):
    """The paper, scrolled where it is larger than the page; at its end the next one comes."""

    stepped = Signal(int)
    went_to = Signal(int)
    """Which page, from 0; -1 for the last one."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._paper = Paper(look)
        self.setWidget(self._paper)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setAlignment(Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.viewport().setAccessibleName("paper")
        self.viewport().setAutoFillBackground(False)
        self._at = 0
        self._comes_from_behind = False

    @property
    def paper(self) -> Paper:
        """What is drawn on."""
        return self._paper

    def show_page(self, state: SheetState) -> None:
        """Show a page; another one from its top, or from its foot where one came from behind."""
        self.setAccessibleName(f"labels, page {state.at + 1} of {state.pages}")
        if state.at != self._at:
            bar = self.verticalScrollBar()
            bar.setValue(bar.maximum() if self._comes_from_behind else bar.minimum())
        self._at, self._comes_from_behind = state.at, False
        self._paper.show_page(state)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Draw the paper at its true size, or as wide as there is room."""
        super().resizeEvent(event)
        self._paper.fit(self.viewport().width())

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Scroll, and go on to another page at the end of this one."""
        bar = self.verticalScrollBar()
        match Qt.Key(event.key()):
            case Qt.Key.Key_PageDown | Qt.Key.Key_Space:
                self._go(1, bar.pageStep())
            case Qt.Key.Key_PageUp:
                self._go(-1, bar.pageStep())
            case Qt.Key.Key_Down | Qt.Key.Key_Up:
                step = self._look.px(SCROLLED)
                bar.setValue(bar.value() + (step if event.key() == Qt.Key.Key_Down else -step))
            case Qt.Key.Key_Right | Qt.Key.Key_Left:
                self.stepped.emit(1 if event.key() == Qt.Key.Key_Right else -1)
            case Qt.Key.Key_Home:
                self.went_to.emit(0)
            case Qt.Key.Key_End:
                self.went_to.emit(-1)
            case _:
                super().keyPressEvent(event)

    def _go(self, direction: int, step: int) -> None:
        bar = self.verticalScrollBar()
        end = bar.maximum() if direction > 0 else bar.minimum()
        if bar.value() == end:
            self._comes_from_behind = direction < 0
            self.stepped.emit(direction)
            self._comes_from_behind = False
        else:
            bar.setValue(bar.value() + direction * step)


class Paper(QWidget):
    """One page, black on white whatever the palette: it is what comes out."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: SheetState | None = None
        self._scale = PX_PER_MM * look.factor
        self._children = NamedChildren(self, self._box)
        self.setAccessibleName("page of labels")
        self.resize(self._size())

    @property
    def px_per_mm(self) -> float:
        """How large it is drawn."""
        return self._scale

    def show_page(self, state: SheetState) -> None:
        """Show a page."""
        self._state = state
        self._children.show_names(lambda: state.spoken)
        self.update()

    def fit(self, width: int) -> None:
        """Take the true size, or less where that is too wide."""
        self._scale = min(PX_PER_MM * self._look.factor, (width - 2 * EDGE) / WIDTH_MM)
        self.resize(self._size())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw paper, edge and labels."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(self._look.colours.edge)))
        painter.setBrush(QColor(Qt.GlobalColor.white))
        painter.drawRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5))
        if self._state is None:
            return
        painter.translate(EDGE, EDGE)
        painter.scale(self._scale, self._scale)
        draw_page(MmPainter(painter), self._state.page, self._state.tone)

    def _size(self) -> QSize:
        return QSize(round(WIDTH_MM * self._scale) + 2 * EDGE, round(HEIGHT_MM * self._scale) + 2 * EDGE)

    def _box(self, at: int) -> QRect:
        if self._state is None or at >= len(self._state.boxes):
            return QRect(0, 0, 1, 1)
        box, scale = self._state.boxes[at], self._scale
        return QRectF(box.x_mm * scale, box.y_mm * scale, box.width_mm * scale, box.height_mm * scale).toRect()


def _allow(button: Button, *, is_there: bool, reason: str) -> None:
    if is_there:
        button.allow()
    else:
        button.refuse(reason)

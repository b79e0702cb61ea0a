"""Draws the head line: one row of 52, or two rows of 44 in narrow windows."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFontMetrics, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QPushButton, QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.page import Narrow
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_in_table
from buswalk.ui.shapes.signs import draw_cross, draw_held, draw_lock, draw_open_lock, draw_pair_lying
from buswalk.ui.shell.head_state import HeadCell, HeadSign, HeadState, JobCell
from buswalk.ui.sizes import CAPTION_TEXT, RADIUS, VALUE_TEXT
from buswalk.ui.tone_colours import hue_of, text_colour
from buswalk.ui.tones import Tone

ROW, ROW_NARROW = 52, 44
NAME, NAME_NARROW = 148, 96
PORT, HELD, RECORD, WRITING, STOP = 268, 222, 226, 116, 104
HELD_NARROW, RECORD_NARROW = 258, 252
CELL_PAD = 12
PROGRAM = "buswalk"


class HeadView(QWidget):
    """Name, cells and Stop. A cell that names a page opens it."""

    def __init__(self, look: Look, narrow: Narrow, state: HeadState, stop: Callable[[], None]) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName("head line")
        is_narrow = narrow is Narrow.YES
        self.setFixedHeight(look.px(2 * ROW_NARROW if is_narrow else ROW) + 1)
        self.port = HeadCellView(look, state.port, 0 if is_narrow else PORT)
        self.held_by = HeadCellView(look, state.held_by, HELD_NARROW if is_narrow else HELD)
        self._record = HeadCellView(look, state.record, RECORD_NARROW if is_narrow else RECORD)
        self._writing = HeadCellView(look, state.writing, WRITING)
        self.job = JobCellView(look, state.job)
        self.stop = StopButton(look, narrow)
        self.stop.clicked.connect(lambda _checked=False: stop())
        for still in (self._record, self._writing):
            still.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        if is_narrow:
            self._lay_out_narrow()
        else:
            self._lay_out()
        self.show_state(state)

    def show_state(self, state: HeadState) -> None:
        """Draw a state."""
        self.port.show_cell(state.port)
        self.held_by.show_cell(state.held_by)
        self._record.show_cell(state.record)
        self._writing.show_cell(state.writing)
        self.job.show_job(state.job)
        self.stop.show_can_stop(can_stop=state.can_stop)

    @property
    def cells(self) -> tuple[HeadCellView, ...]:
        """The four cells, for tests of what fits."""
        return self.port, self.held_by, self._record, self._writing

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the ground and the line below."""
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(self._look.colours.panel))
        painter.setPen(pen(self._look.colours.hair, 1.0))
        painter.drawLine(0, self.height() - 1, self.width(), self.height() - 1)

    def _stop_room(self) -> QWidget:
        room = QWidget()
        room.setAccessibleName("room of Stop")
        row = QHBoxLayout(room)
        row.setContentsMargins(0, 0, self._look.px(10), 0)
        row.addStretch(1)
        row.addWidget(self.stop)
        room.setFixedWidth(self._look.px(STOP + 6))
        return room

    def _lay_out(self) -> None:
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 1)
        row.setSpacing(0)
        row.addWidget(_Name(self._look, NAME))
        for one in (self.port, self.held_by, self._record, self._writing):
            row.addWidget(one)
        row.addWidget(self.job, 1)
        row.addWidget(self._stop_room())

    def _lay_out_narrow(self) -> None:
        grid = QGridLayout(self)
        grid.setContentsMargins(0, 0, 0, 1)
        grid.setSpacing(0)
        grid.addWidget(_Name(self._look, NAME_NARROW), 0, 0, 2, 1)
        above, below = QHBoxLayout(), QHBoxLayout()
        above.addWidget(self.port, 1)
        above.addWidget(self.held_by)
        above.addWidget(self._record)
        below.addWidget(self._writing)
        below.addWidget(self.job, 1)
        below.addWidget(self._stop_room())
        for i, row in enumerate((above, below)):
            row.setSpacing(0)
            grid.addLayout(row, i, 1)


class _Name(QWidget):
    """The program's name over the pair, on bar."""

    def __init__(self, look: Look, width: int) -> None:
        super().__init__()
        self._look = look
        self._side = 14 if width == NAME else 10
        self.setAccessibleName(PROGRAM)
        self.setFixedWidth(look.px(width))
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Expanding)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw it."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours.bar))
        painter.setPen(pen(colours.hair, 1.0))
        painter.drawLine(self.width() - 1, 0, self.width() - 1, self.height())
        painter.setFont(look.bold(15 if self._side == 14 else VALUE_TEXT))
        painter.setPen(QColor(colours.ink))
        side, middle = look.px(self._side), self.height() / 2.0
        words = QRectF(side, middle - look.px(18), self.width() - side, look.px(22))
        painter.drawText(words, int(Qt.AlignmentFlag.AlignVCenter), PROGRAM)
        pair = QRectF(side, middle + look.px(7), self.width() - 2 * side, look.px(7))
        draw_pair_lying(painter, colours, pair)


class HeadCellView(QPushButton):
    """A caption over a value that never is cut: the longest form that fits is shown."""

    def __init__(self, look: Look, cell: HeadCell, width: int) -> None:
        super().__init__()
        self._look = look
        self._cell = cell
        if width:
            self.setFixedWidth(look.px(width))
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Expanding)
        self._name_it()

    def show_cell(self, cell: HeadCell) -> None:
        """Show another value."""
        if cell != self._cell:
            self._cell = cell
            self._name_it()
            self.update()

    def _name_it(self) -> None:
        self.setAccessibleName(f"{self._cell.caption}: {self._cell.words}")
        self.setToolTip(self._cell.words)

    @property
    def shown(self) -> str:
        """The form that is shown."""
        metrics = QFontMetrics(self._look.bold(VALUE_TEXT))
        fitting = (one for one in self._cell.forms if metrics.horizontalAdvance(one) <= self._room())
        return next(fitting, metrics.elidedText(self._cell.forms[-1], Qt.TextElideMode.ElideMiddle, self._room()))

    @property
    def is_cut(self) -> bool:
        """Whether not even the shortest form fits."""
        return self.shown not in self._cell.forms

    def _room(self) -> int:
        return self.width() - self._look.px(CELL_PAD + 5) - self._sign_width()

    def _sign_width(self) -> int:
        return 0 if self._cell.sign is HeadSign.NONE else self._look.px(18)

    def sizeHint(self) -> QSize:
        """As wide as the longest form."""
        width = QFontMetrics(self._look.bold(VALUE_TEXT)).horizontalAdvance(self._cell.words)
        return QSize(width + self._look.px(2 * CELL_PAD) + self._sign_width(), self._look.px(ROW_NARROW))

    def minimumSizeHint(self) -> QSize:
        """Small: forms get shorter."""
        return QSize(self._look.px(120), self._look.px(ROW_NARROW))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw caption, sign and value."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        tone = self._cell.tone
        if tone is not Tone.INK:
            painter.fillRect(self.rect(), QColor(hue_of(colours, tone).tint))
            painter.fillRect(QRectF(0, 0, look.px(4), self.height()), QColor(hue_of(colours, tone).mark))
        else:
            painter.setPen(pen(colours.hair, 1.0))
            if self._cell.caption != "Port":
                painter.drawLine(0, look.px(8), 0, self.height() - look.px(8))
        left, middle = look.px(CELL_PAD), self.height() / 2.0
        at_left = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(colours.ink2))
        painter.drawText(QRectF(left, middle - look.px(20), self.width(), look.px(17)), at_left, self._cell.caption)
        box = QRectF(left, middle + look.px(2), look.px(12), look.px(13))
        self._draw_sign(painter, box)
        painter.setFont(look.bold(VALUE_TEXT))
        painter.setPen(QColor(text_colour(colours, tone)))
        words = QRectF(left + self._sign_width(), middle - look.px(1), self.width(), look.px(19))
        painter.drawText(words, at_left, self.shown)

    def _draw_sign(self, painter: QPainter, box: QRectF) -> None:
        look, colours = self._look, self._look.colours
        match self._cell.sign:
            case HeadSign.SQUARE:
                draw_held(painter, colours, box.adjusted(0, 1, -2, -1))
            case HeadSign.LOCK:
                draw_lock(painter, colours, box.adjusted(0, -4, 0, 0))
            case HeadSign.OPEN_LOCK:
                draw_open_lock(painter, colours, box.adjusted(0, -4, 0, 0))
            case HeadSign.CROSS:
                draw_cross(painter, colours, box.adjusted(0, 1, 0, 0))
            case HeadSign.SLANT:
                wide = box.adjusted(-look.px(8), -look.px(4), look.px(6), look.px(4))
                draw_in_table(painter, OutcomeKind.FOREIGN_FRAME, wide, Drawing(colours, look.factor * 0.7))
            case HeadSign.NONE:
                pass


class JobCellView(QPushButton):
    """The job: name left, time right, a bar below where the end is known."""

    def __init__(self, look: Look, job: JobCell) -> None:
        super().__init__()
        self._look = look
        self._job = job
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Expanding)
        self._name_it()

    def show_job(self, job: JobCell) -> None:
        """Show another state of the job."""
        if job != self._job:
            self._job = job
            self._name_it()
            self.update()

    def _name_it(self) -> None:
        self.setAccessibleName(f"Job: {self._job.words}")
        share = f", {self._job.share:.0%} done" if self._job.share is not None else ""
        self.setAccessibleDescription(f"{self._job.time_words}{share}")

    @property
    def is_cut(self) -> bool:
        """Whether name or time do not fit."""
        look = self._look
        room = self.width() - look.px(2 * CELL_PAD)
        caption = QFontMetrics(look.regular(CAPTION_TEXT))
        above = caption.horizontalAdvance("Job") + look.px(8) + caption.horizontalAdvance(self._job.time_words)
        return max(above, QFontMetrics(look.bold(VALUE_TEXT)).horizontalAdvance(self._job.words)) > room

    def minimumSizeHint(self) -> QSize:
        """Room for a short name."""
        return QSize(self._look.px(120), self._look.px(ROW_NARROW))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw it."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setPen(pen(colours.hair, 1.0))
        painter.drawLine(0, look.px(8), 0, self.height() - look.px(8))
        left, middle = look.px(CELL_PAD), self.height() / 2.0
        width = self.width() - 2 * left
        flag = Qt.AlignmentFlag
        above = QRectF(left, middle - look.px(20), width, look.px(17))
        painter.setFont(look.regular(CAPTION_TEXT))
        painter.setPen(QColor(colours.ink2))
        painter.drawText(above, int(flag.AlignVCenter | flag.AlignLeft), "Job")
        painter.drawText(above, int(flag.AlignVCenter | flag.AlignRight), self._job.time_words)
        painter.setFont(look.bold(VALUE_TEXT))
        painter.setPen(QColor(colours.ink))
        lifted = look.px(3 if self._job.share is not None else 1)
        below = QRectF(left, middle - lifted, width, look.px(19))
        painter.drawText(below, int(flag.AlignVCenter | flag.AlignLeft), self._job.words)
        if self._job.share is not None:
            bar = QRectF(left, middle + look.px(17), width, look.px(4))
            painter.fillRect(bar, QColor(colours.hair))
            bar.setWidth(width * self._job.share)
            painter.fillRect(bar, QColor(colours.ink))


class StopButton(QPushButton):
    """Stop: always in the same place; with no job it is an outline."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName("Stop")
        self.setFixedSize(look.px(96), look.px(38 if narrow is Narrow.YES else 42))
        self.setEnabled(False)
        self.show_can_stop(can_stop=True)
        self.show_can_stop(can_stop=False)

    def show_can_stop(self, *, can_stop: bool) -> None:
        """Let it be pressed or not."""
        if can_stop != self.isEnabled():
            self.setEnabled(can_stop)
            reason = "stops the job, key Esc" if can_stop else "no job is running"
            self.setToolTip(reason)
            self.setAccessibleDescription(reason)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw square, word and key."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        if self.isEnabled():
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(QColor(colours.ink2 if self.isDown() else colours.solid))
            value = colours.onsolid
        else:
            outline = QPen(QColor(colours.ink3))
            outline.setStyle(Qt.PenStyle.DashLine)
            painter.setPen(outline)
            value = colours.ink3
        painter.drawRoundedRect(box, RADIUS * look.factor, RADIUS * look.factor)
        side, middle = look.px(13), self.height() / 2.0
        painter.fillRect(QRectF(look.px(10), middle - side / 2.0, side, side), QColor(value))
        painter.setPen(QColor(value))
        painter.setFont(look.bold(VALUE_TEXT))
        at_left = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        painter.drawText(QRectF(look.px(29), 0, self.width(), self.height()), at_left, "Stop")
        painter.setFont(look.regular(11))
        at_right = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight)
        painter.drawText(QRectF(0, 0, self.width() - look.px(8), self.height()), at_right, "Esc")

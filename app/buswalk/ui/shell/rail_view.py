"""The rail: pages in the order of a visit, each with digit, name and a few words; the pair marks where you are."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from PySide6.QtCore import QRectF, QSize, Qt, Signal
from PySide6.QtGui import QColor, QFontMetrics, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QPushButton, QSizePolicy, QVBoxLayout, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.page import PageName, RailNote
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_outcome, extent_of
from buswalk.ui.shapes.signs import draw_pair_standing
from buswalk.ui.sizes import STRIP_LABEL_TEXT, TEXT, VALUE_TEXT

NOTE_SHAPE = 0.7
NOTE_GAP = 5
HINTS = ("Ctrl + digit: page", "F1: keys, look")


def note_room(shape: OutcomeKind, look: Look) -> int:
    """Return how much room the shape before a note takes."""
    return look.px(extent_of(shape).width * NOTE_SHAPE + NOTE_GAP)


class RailForm(Enum):
    """How much room the rail has: width, row height, name size."""

    WIDE = (148, 46, VALUE_TEXT)
    LOW = (148, 42, VALUE_TEXT)
    NO_NOTES = (96, 46, TEXT)
    NARROW = (96, 36, TEXT)

    @property
    def width(self) -> int:
        """At 100 %."""
        return self.value[0]

    @property
    def row(self) -> int:
        """At 100 %, the gap of 2 included."""
        return self.value[1]

    @property
    def has_notes(self) -> bool:
        """Whether words stand under the names."""
        return self in (RailForm.WIDE, RailForm.LOW)


@dataclass(frozen=True, slots=True)
class RailPlace:
    """What the rail shows of a page."""

    name: PageName
    note: RailNote


class RailView(QWidget):
    """One item a page; arrows walk, Enter opens."""

    def __init__(
        self, look: Look, form: RailForm, places: Sequence[RailPlace], go_to: Callable[[PageName], None]
    ) -> None:
        super().__init__()
        self._look = look
        self._form = form
        self._places = tuple(places)
        self.setAccessibleName("pages")
        self.setFixedWidth(look.px(form.width))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, look.px(9), 0, look.px(10))
        column.setSpacing(look.px(2))
        self._items: dict[PageName, RailItem] = {}
        was_proving = False
        for place in self._places:
            if place.name.is_proving and not was_proving and self._items:
                column.addWidget(_Parting(look))
            was_proving = place.name.is_proving
            item = RailItem(look, form, place)
            item.clicked.connect(lambda _checked=False, name=place.name: go_to(name))
            item.walked.connect(self._walk)
            column.addWidget(item)
            self._items[place.name] = item
        column.addStretch(1)

    def show_places(self, places: Sequence[RailPlace], current: PageName) -> None:
        """Show notes, and which page is shown."""
        for place in places:
            self._items[place.name].show_place(place, is_current=place.name is current)

    def item(self, name: PageName) -> RailItem:
        """The item of a page."""
        return self._items[name]

    @property
    def items(self) -> tuple[RailItem, ...]:
        """All items in order."""
        return tuple(self._items.values())

    def _walk(self, item: RailItem, step: int) -> None:
        order = list(self._items.values())
        at = order.index(item) + step
        if 0 <= at < len(order):
            order[at].setFocus(Qt.FocusReason.OtherFocusReason)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw bar, its edge, and two hints at the foot."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.fillRect(self.rect(), QColor(colours.bar))
        painter.setPen(pen(colours.hair, 1.0))
        painter.drawLine(self.width() - 1, 0, self.width() - 1, self.height())
        if not self._form.has_notes:
            return
        painter.setFont(look.regular(STRIP_LABEL_TEXT))
        painter.setPen(QColor(colours.ink2))
        for i, words in enumerate(HINTS):
            box = QRectF(look.px(14), self.height() - look.px(40 - 14 * i), self.width(), look.px(14))
            painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter), words)


class _Parting(QWidget):
    """The gap and hair between finding out and proving."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName("below: pages that prove")
        self.setFixedHeight(look.px(10))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the hair."""
        painter = QPainter(self)
        painter.setPen(pen(self._look.colours.hair, 2.0))
        side = self._look.px(12)
        painter.drawLine(side, self.height() // 2, self.width() - side, self.height() // 2)


class RailItem(QPushButton):
    """One page in the rail."""

    walked = Signal(object, int)

    def __init__(self, look: Look, form: RailForm, place: RailPlace) -> None:
        super().__init__()
        self._look = look
        self._form = form
        self._place = place
        self._is_current = False
        self.setFixedHeight(look.px(form.row - 2))
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Fixed)
        self._name_it()

    def show_place(self, place: RailPlace, *, is_current: bool) -> None:
        """Show the note, and whether this page is shown."""
        if (place, is_current) == (self._place, self._is_current):
            return
        self._place, self._is_current = place, is_current
        self._name_it()
        self.update()

    def _name_it(self) -> None:
        note = self._place.note.words
        self.setAccessibleName(f"{self._place.name.word}, {note}" if note else self._place.name.word)
        shown = "this page is shown, " if self._is_current else ""
        self.setAccessibleDescription(f"{shown}key Ctrl+{self._place.name.digit}")

    @property
    def is_cut(self) -> bool:
        """Whether name or note do not fit."""
        room = self.width() - self._look.px(self._name_left())
        names = QFontMetrics(self._look.bold(self._form.value[2]))
        notes = QFontMetrics(self._look.regular(STRIP_LABEL_TEXT))
        note = notes.horizontalAdvance(self._place.note.words) if self._form.has_notes else 0
        note += note_room(self._place.note.shape, self._look) if self._place.note.shape else 0
        return max(names.horizontalAdvance(self._place.name.word), note) > room

    def _name_left(self) -> int:
        return 32 if self._form.has_notes else 22

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows walk."""
        match event.key():
            case Qt.Key.Key_Up:
                self.walked.emit(self, -1)
            case Qt.Key.Key_Down:
                self.walked.emit(self, 1)
            case Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self.click()
            case _:
                super().keyPressEvent(event)

    def sizeHint(self) -> QSize:
        """The rail's width, one row."""
        return QSize(self._look.px(self._form.width), self._look.px(self._form.row - 2))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw digit, name, note; the current page on panel with the pair."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect())
        if self._is_current:
            painter.fillRect(box, QColor(colours.panel))
            draw_pair_standing(painter, colours, QRectF(0, 0, look.px(9), box.height()))
        has_note = self._form.has_notes and bool(self._place.note.words)
        at_left = int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        painter.setFont(look.regular(STRIP_LABEL_TEXT))
        painter.setPen(QColor(colours.ink2))
        digit_left = look.px(14 if self._form.has_notes else 11)
        painter.drawText(QRectF(digit_left, 0, look.px(14), box.height()), at_left, str(self._place.name.digit))
        name_height = box.height() * (0.66 if has_note else 1.0)
        size = self._form.value[2]
        painter.setFont(look.bold(size) if self._is_current else look.regular(size))
        painter.setPen(QColor(colours.ink))
        left = look.px(self._name_left())
        painter.drawText(QRectF(left, 0, box.width() - left, name_height), at_left, self._place.name.word)
        if has_note:
            self._draw_note(painter, left)

    def _draw_note(self, painter: QPainter, left: float) -> None:
        look, colours = self._look, self._look.colours
        note = self._place.note
        middle = self.height() * 0.73
        if note.shape is not None:
            drawing = Drawing(colours, NOTE_SHAPE * look.factor)
            draw_outcome(painter, note.shape, QRectF(left, middle - look.px(4), 1, 1).topLeft(), drawing)
            left += note_room(note.shape, look)
        painter.setFont(look.regular(STRIP_LABEL_TEXT))
        painter.setPen(QColor(colours.ink if note.shape else colours.ink2))
        box = QRectF(left, middle - look.px(7), self.width() - left, look.px(14))
        painter.drawText(box, int(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft), note.words)

"""The cards of the page Plan: does it hold together, one place, what answers unplanned, bringing in, what was odd."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QGuiApplication, QPainter, QPaintEvent, QPolygonF
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.pages.plan.plan_state import CheckItem, CheckSign, Fact, PlaceState, StrangersState
from buswalk.ui.shapes.signs import draw_caution
from buswalk.ui.sizes import KEY_VALUE_TEXT, RESULT_TEXT, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import NameText, Text, caption, sentence

MOST_TROUBLES = 5
CHECK_COLUMNS = 2


class CheckMark(QWidget):
    """A tick or a triangle before a finding."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._sign = CheckSign.HOLDS
        self.setSizePolicy(QSizePolicy.Policy.Fixed, QSizePolicy.Policy.Fixed)
        self.show_sign(CheckSign.HOLDS)

    def show_sign(self, sign: CheckSign) -> None:
        """Show one of the two."""
        self._sign = sign
        self.setAccessibleName("holds" if sign is CheckSign.HOLDS else "caution")
        self.update()

    def sizeHint(self) -> QSize:
        """Square."""
        return QSize(self._look.px(22), self._look.px(22))

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw it."""
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        box = QRectF(self.rect()).adjusted(3, 3, -3, -3)
        if self._sign is CheckSign.CAUTION:
            draw_caution(painter, self._look.colours, box)
            return
        painter.setPen(pen(self._look.colours.ink, 2.2 * self._look.factor))
        painter.drawPolyline(
            QPolygonF(
                [
                    QPointF(box.left(), box.center().y()),
                    QPointF(box.left() + box.width() * 0.36, box.bottom() - box.height() * 0.18),
                    QPointF(box.right(), box.top() + box.height() * 0.12),
                ]
            )
        )


class CheckView(QWidget):
    """One finding of the plan as a whole."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px(6))
        column = QVBoxLayout()
        column.setSpacing(look.px(1))
        self._sign = CheckMark(look)
        self._headline = Text(look, look.bold(TEXT)).wrapped()
        self._words = sentence(look)
        row.addWidget(self._sign)
        column.addWidget(self._headline)
        column.addWidget(self._words)
        row.addLayout(column, 1)

    def show_check(self, item: CheckItem) -> None:
        """Show it."""
        self._sign.show_sign(item.sign)
        self._headline.show_text(item.headline)
        self._words.show_text(item.words, Tone.INK2)
        self.setAccessibleName(f"{item.headline}. {item.words}")


class ChecksCard(Card):
    """Does the plan hold together?"""

    def __init__(self, look: Look) -> None:
        super().__init__(look, "Does the plan hold together?")
        self._look = look
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(look.px(16))
        self._grid.setVerticalSpacing(look.px(6))
        self._views: list[CheckView] = []
        self.body.addLayout(self._grid)

    def show_checks(self, items: tuple[CheckItem, ...]) -> None:
        """Show them, two a row."""
        for i, item in enumerate(items):
            if i == len(self._views):
                self._views.append(CheckView(self._look))
                self._grid.addWidget(self._views[i], i // CHECK_COLUMNS, i % CHECK_COLUMNS)
            self._views[i].show_check(item)
        for i in range(CHECK_COLUMNS):
            self._grid.setColumnStretch(i, 1)
        for i, view in enumerate(self._views):
            view.setVisible(i < len(items))


class FactLine(QWidget):
    """A caption at the left, its value at the right."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px(12))
        self._caption = caption(look)
        self._value = Text(look, look.bold(TEXT)).wrapped()
        self._value.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignRight)
        row.addWidget(self._caption)
        row.addWidget(self._value, 1)

    def show_fact(self, fact: Fact) -> None:
        """Show it."""
        self._caption.show_text(fact.caption, Tone.INK2)
        self._value.show_text(fact.value, fact.tone)
        self.setAccessibleName(fact.caption)
        self.setAccessibleDescription(fact.value)


class PlaceCard(Card):
    """One place in detail."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, "One place")
        self._look = look
        self._name = NameText(look, look.bold(KEY_VALUE_TEXT))
        self.body.addWidget(self._name)
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(24))
        grid.setVerticalSpacing(look.px(1))
        self._address, self._answers = Text(look, look.bold(RESULT_TEXT)), Text(look, look.bold(RESULT_TEXT))
        for i, (words, value) in enumerate((("Planned address", self._address), ("Now", self._answers))):
            grid.addWidget(caption(look, words), 0, i)
            grid.addWidget(value, 1, i)
        grid.setColumnStretch(1, 1)
        self.body.addLayout(grid)
        self._facts: list[FactLine] = []
        self._lines = QVBoxLayout()
        self._lines.setSpacing(look.px(4))
        self.body.addLayout(self._lines)
        self._points = sentence(look)
        self.body.addWidget(self._points)

    def show_place(self, state: PlaceState) -> None:
        """Show it."""
        self.show_title(state.title)
        self._name.show_text(state.name)
        self._address.show_text(state.address)
        self._answers.show_text(state.answers, state.answers_tone)
        for i, fact in enumerate(state.facts):
            if i == len(self._facts):
                self._facts.append(FactLine(self._look))
                self._lines.addWidget(self._facts[i])
            self._facts[i].show_fact(fact)
        for i, line in enumerate(self._facts):
            line.setVisible(i < len(state.facts))
        self._points.show_text(". ".join(f"{one[0].upper()}{one[1:]}" for one in state.open_points), Tone.DOUBT)
        self._points.setVisible(bool(state.open_points))


class StrangersCard(Card):
    """What answers and is not planned."""

    def __init__(self, look: Look, take: Callable[[], None]) -> None:
        super().__init__(look, "Not in plan")
        self._words = sentence(look)
        self.take = Button(look, "Take into the plan", ButtonWeight.SMALL)
        self.take.clicked.connect(lambda _checked=False: take())
        self.body.addWidget(self._words)
        self.body.addWidget(self.take)

    def show_strangers(self, state: StrangersState) -> None:
        """Show them."""
        self.show_title(state.headline)
        self._words.show_text("\n".join(state.lines), Tone.INK)


class ListCard(Card):
    """Bringing a list in, from a file or from the clipboard; what the last act was."""

    def __init__(self, look: Look, bring_in: Callable[[], None], paste: Callable[[], None]) -> None:
        super().__init__(look, "Bring in a list")
        words = "A spreadsheet or text with columns such as address, device, setting, where. Shown before it is taken."
        self.body.addWidget(sentence(look, words))
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        self.bring_in = Button(look, "Choose a file…", ButtonWeight.SMALL)
        self.paste = Button(look, "Paste", ButtonWeight.SMALL, "Ctrl+V")
        self.bring_in.clicked.connect(lambda _checked=False: bring_in())
        self.paste.clicked.connect(lambda _checked=False: paste())
        for one in (self.bring_in, self.paste):
            row.addWidget(one)
        row.addStretch(1)
        self.body.addLayout(row)
        self._undo = Text(look, look.regular(TEXT), "", Tone.INK2).wrapped()
        self._told = Text(look, look.bold(TEXT)).wrapped()
        self.body.addWidget(self._undo)
        self.body.addWidget(self._told)

    def show_acts(self, undo_words: str, told: str) -> None:
        """Show what can be taken back, and what was done."""
        self._undo.show_text(f"Ctrl+Z takes back: {undo_words}." if undo_words else "", Tone.INK2)
        self._undo.setVisible(bool(undo_words))
        self._told.show_text(told)
        self._told.setVisible(bool(told))


class TroublesCard(Card):
    """What was odd in a list, one sentence each; goes when it has been read."""

    def __init__(self, look: Look, read: Callable[[], None] | None = None) -> None:
        super().__init__(look, "What was odd in this list")
        self._troubles: tuple[str, ...] = ()
        self._words = sentence(look)
        self.copy = Button(look, "Copy all", ButtonWeight.SMALL)
        self.copy.clicked.connect(lambda _checked=False: QGuiApplication.clipboard().setText("\n".join(self._troubles)))
        self.read = Button(look, "I have read it", ButtonWeight.SMALL)
        self.add_to_head(self.copy)
        if read is not None:
            self.read.clicked.connect(lambda _checked=False: read())
            self.add_to_head(self.read)
        self.body.addWidget(self._words)

    def show_troubles(self, troubles: tuple[str, ...]) -> None:
        """Show the first of them, and how many more there are."""
        self._troubles = troubles
        self.setVisible(bool(troubles))
        shown = list(troubles[:MOST_TROUBLES])
        if len(troubles) > MOST_TROUBLES:
            shown.append(f"and {len(troubles) - MOST_TROUBLES} more")
        self._words.show_text("\n".join(shown), Tone.DOUBT)
        self.show_aside(f"{len(troubles)} in all" if len(troubles) > 1 else "")

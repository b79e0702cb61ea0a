"""Found at another address than intended: entries, ranked mistakes, what to set instead."""

from __future__ import annotations

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QMouseEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.switches.small_block import SmallBlock
from buswalk.ui.pages.switches.switches_state import ExplainedState, InsteadState, MistakeState
from buswalk.ui.sizes import CAPTION_TEXT, KEY_VALUE_TEXT, RADIUS, SPACE_S, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import AddressEntry, ColumnArea
from buswalk.ui.widgets.labels import Text, caption, heading, sentence

MOST_ROWS = 6


class CompareCard(Card):
    """Shows an ExplainedState."""

    mistake_chosen = Signal(int)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "Found at another address than intended?")
        self.intended, self.found = AddressEntry(look, "intended address"), AddressEntry(look, "found address")
        self.previous = AddressEntry(look, "address before it was set")
        entries = QHBoxLayout()
        entries.setSpacing(look.px(SPACE_S))
        pairs = (("Intended", self.intended), ("Found", self.found), ("Before, if known", self.previous))
        for words, entry in pairs:
            column = QVBoxLayout()
            column.setSpacing(look.px(2))
            column.addWidget(caption(look, words))
            column.addWidget(entry)
            entries.addLayout(column)
        entries.addStretch(1)
        self.body.addLayout(entries)
        self._counted, self._look_words = sentence(look), sentence(look)
        self.body.addWidget(self._counted)
        self.body.addWidget(self._look_words)
        self.rows = tuple(MistakeRow(look) for _ in range(MOST_ROWS))
        ranked = QWidget()
        ranked.setAccessibleName("ranked mistakes")
        column = QVBoxLayout(ranked)
        column.setContentsMargins(look.px(6), look.px(4), look.px(6), look.px(4))
        column.setSpacing(look.px(5))
        for at, row in enumerate(self.rows):
            row.pressed.connect(lambda at=at: self.mistake_chosen.emit(at))
            row.walked.connect(lambda step, at=at: self._walk(at + step))
            column.addWidget(row)
        self._hidden = caption(look)
        column.addWidget(self._hidden)
        column.addStretch(1)
        self.body.addWidget(ranked if narrow is Narrow.YES else ColumnArea("ranked mistakes", ranked), 1)
        self.instead = InsteadBox(look)
        self.body.addWidget(self.instead)
        self._count = 0

    def show_explained(self, state: ExplainedState) -> None:
        """Show what explains the address."""
        for entry, text in (
            (self.intended, state.intended),
            (self.found, state.found),
            (self.previous, state.previous),
        ):
            if entry.text().strip() != text:
                entry.setText(text)
        self._counted.show_text(state.counted, state.counted_tone)
        self._look_words.show_text(state.look, Tone.INK)
        self._look_words.setVisible(bool(state.look))
        self._count = len(state.mistakes)
        for at, row in enumerate(self.rows):
            row.setVisible(at < self._count)
            if at < self._count:
                row.show_mistake(state.mistakes[at], is_chosen=at == state.chosen)
        self._hidden.show_text(state.hidden)
        self._hidden.setVisible(bool(state.hidden))
        self.instead.setVisible(state.instead is not None)
        if state.instead is not None:
            self.instead.show_instead(state.instead)

    def _walk(self, at: int) -> None:
        if 0 <= at < self._count:
            self.rows[at].setFocus(Qt.FocusReason.OtherFocusReason)
            self.mistake_chosen.emit(at)


class MistakeRow(QWidget):
    """One explanation; Up and Down go to the next, a press chooses it."""

    pressed = Signal()
    walked = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._is_chosen = False
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.setSizePolicy(_as_high_as_its_words())
        self.setAccessibleName("explanation")
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(10), look.px(5), look.px(10), look.px(5))
        row.setSpacing(look.px(SPACE_S))
        self._number = Text(look, look.bold(KEY_VALUE_TEXT))
        self._block = SmallBlock(look)
        words = QVBoxLayout()
        words.setSpacing(0)
        self._headline, self._words = Text(look, look.bold(TEXT)).wrapped(), sentence(look)
        words.addWidget(self._headline)
        words.addWidget(self._words)
        shares = QVBoxLayout()
        shares.setSpacing(0)
        self._share = Text(look, look.bold(TEXT))
        self._likelihood = Text(look, look.regular(CAPTION_TEXT), "", Tone.INK2)
        for one in (self._share, self._likelihood):
            one.setAlignment(Qt.AlignmentFlag.AlignRight)
            shares.addWidget(one)
        row.addWidget(self._number)
        row.addWidget(self._block)
        row.addLayout(words, 1)
        row.addLayout(shares)

    def show_mistake(self, state: MistakeState, *, is_chosen: bool) -> None:
        """Show an explanation."""
        self._number.show_text(state.number)
        self._block.show_picture(state.picture)
        self._headline.show_text(state.headline)
        self._words.show_text(state.words, Tone.INK2)
        self._share.show_text(state.share)
        self._likelihood.show_text(state.likelihood, Tone.INK2)
        self._is_chosen = is_chosen
        self.setAccessibleName(state.spoken)
        self.setAccessibleDescription("chosen" if is_chosen else "")
        self.update()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Walk or choose."""
        match Qt.Key(event.key()):
            case Qt.Key.Key_Up:
                self.walked.emit(-1)
            case Qt.Key.Key_Down:
                self.walked.emit(1)
            case Qt.Key.Key_Space | Qt.Key.Key_Return | Qt.Key.Key_Enter:
                self.pressed.emit()
            case _:
                super().keyPressEvent(event)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """Choose it."""
        self.pressed.emit()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw ground, and the ink bar of the chosen one."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(colours.hair)))
        painter.setBrush(QColor(colours.select if self._is_chosen else colours.sunk))
        radius = RADIUS * look.factor
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), radius, radius)
        if self._is_chosen:
            painter.fillRect(QRectF(0, 2, 3 * look.factor, self.height() - 4), QColor(colours.ink))


class InsteadBox(QWidget):
    """What to set instead, and the button that asks both addresses."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName("what to set instead")
        self.setSizePolicy(_as_high_as_its_words())
        column = QVBoxLayout(self)
        column.setContentsMargins(look.px(12), look.px(8), look.px(12), look.px(8))
        column.setSpacing(look.px(6))
        self._title = heading(look)
        column.addWidget(self._title)
        row = QHBoxLayout()
        row.setSpacing(look.px(12))
        self._block, self._words = SmallBlock(look), sentence(look)
        row.addWidget(self._block)
        row.addWidget(self._words, 1)
        column.addLayout(row)
        self.ask = Button(look, "Ask", ButtonWeight.NORMAL, "F5")
        column.addWidget(button_row(look, self.ask))

    def show_instead(self, state: InsteadState) -> None:
        """Show what to do."""
        self._title.show_text(state.title)
        self._block.show_picture(state.picture)
        self._words.show_text(state.words)
        self.ask.show_words(state.ask_words, "F5")

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the sunk ground."""
        colours = self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(colours.hair)))
        painter.setBrush(QColor(colours.sunk))
        radius = RADIUS * self._look.factor
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), radius, radius)


def _as_high_as_its_words() -> QSizePolicy:
    """Words break into lines: the narrower, the higher."""
    policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    policy.setHeightForWidth(True)
    return policy

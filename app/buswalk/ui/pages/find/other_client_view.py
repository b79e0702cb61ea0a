"""Another client is alive: who asks whom, what may happen, and two ways on, one of which has to be confirmed."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QRectF, Qt, Signal
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.action_button import ActionButton
from buswalk.ui.pages.find.one_round_view import OneRoundView
from buswalk.ui.pages.find.search_state import Action, OtherClientState, OverheardRow
from buswalk.ui.pages.page import Narrow
from buswalk.ui.shapes.signs import draw_caution
from buswalk.ui.sizes import CARD_GAP, TEXT
from buswalk.ui.tones import Tone, tone_of
from buswalk.ui.widgets.button import ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Tick
from buswalk.ui.widgets.labels import Text, heading, sentence
from buswalk.ui.widgets.table import Cell, Column, Row, Table, Weight

_COLUMNS = (
    Column("Asks", 64),
    Column("Request", 0, may_be_cut=True),
    Column("Every", 70, is_right=True),
    Column("Answered", 92, is_right=True),
    Column("What came back", 190),
)
WAYS_WIDTH = 420
MOST_RISKS = 3
MOST_ANSWERS = 2
TABLE_ROWS = 5


class _Sign(QWidget):
    """The triangle of a caution."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self.setFixedSize(look.px(13), look.px(20))
        self.setAccessibleName("caution")

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw it."""
        side = self._look.px(11)
        draw_caution(QPainter(self), self._look.colours, QRectF(0, self._look.px(4), side, side))


class _RisksCard(Card):
    """Cautions, each in bold with a line below."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, "What may happen if you go on")
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(8))
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(1, 1)
        self._lines: list[tuple[_Sign, Text, Text]] = []
        for at in range(MOST_RISKS):
            sign, headline, words = _Sign(look), Text(look, look.bold(TEXT)).wrapped(), sentence(look)
            grid.addWidget(sign, 3 * at, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(headline, 3 * at, 1)
            grid.addWidget(words, 3 * at + 1, 1)
            grid.setRowMinimumHeight(3 * at + 2, look.px(6))
            self._lines.append((sign, headline, words))
        self.body.addLayout(grid)

    def show_risks(self, state: OtherClientState) -> None:
        """Show them."""
        for at, (sign, headline, words) in enumerate(self._lines):
            is_there = at < len(state.risks)
            for one in (sign, headline, words):
                one.setVisible(is_there)
            if is_there:
                headline.show_text(state.risks[at].headline)
                words.show_text(state.risks[at].words, Tone.INK2)


class OtherClientView(QWidget):
    """Draws an OtherClientState."""

    confirmed = Signal(bool)

    def __init__(self, look: Look, narrow: Narrow, pressed: Callable[[Action], None]) -> None:
        super().__init__()
        self._look = look
        self._state: OtherClientState | None = None
        self.setAccessibleName("another client")
        both: QHBoxLayout | QVBoxLayout = QHBoxLayout(self) if narrow is Narrow.NO else QVBoxLayout(self)
        both.setContentsMargins(0, 0, 0, 0)
        both.setSpacing(look.px(CARD_GAP))
        left = QVBoxLayout()
        left.setSpacing(look.px(CARD_GAP))
        self._asks = Card(look, "Who asks whom")
        self._asks.let_body_reach_edges()
        self.table = Table(look, "who asks whom", _COLUMNS)
        self._nothing = sentence(look)
        self._nothing.setContentsMargins(look.px(11), 0, look.px(11), look.px(8))
        self._asks.body.addWidget(self.table)
        self._asks.body.addWidget(self._nothing)
        self._round_card = Card(look, "One round of the other client")
        self.one_round = OneRoundView(look)
        self._round_words = sentence(look)
        self._round_card.body.addWidget(self.one_round)
        self._round_card.body.addWidget(self._round_words)
        self._risks = _RisksCard(look)
        for card in (self._asks, self._round_card, self._risks):
            left.addWidget(card)
        left.addStretch(1)
        both.addLayout(left, 1)
        ways = self._ways(look, pressed)
        if narrow is Narrow.NO:
            ways.setFixedWidth(look.px(WAYS_WIDTH))
        both.addWidget(ways)

    def _ways(self, look: Look, pressed: Callable[[Action], None]) -> Card:
        card = Card(look, "How do you want to go on?")
        self._listen_words = sentence(look)
        self._search_words = sentence(look)
        self.tick = Tick(look, "")
        self.tick.toggled.connect(self.confirmed)
        self.search = ActionButton(look, ButtonWeight.NORMAL, pressed)
        self._note = sentence(look)
        card.body.addSpacing(look.px(6))
        for one in (heading(look, "Listen on"), self._listen_words):
            card.body.addWidget(one)
        card.body.addSpacing(look.px(16))
        for widget in (heading(look, "Search in its pauses"), self._search_words, self.tick, self.search):
            card.body.addWidget(widget)
        card.body.addSpacing(look.px(16))
        self._over_words = sentence(look)
        self.question = Text(look, look.bold(TEXT)).wrapped()
        self.take_over = tuple(ActionButton(look, ButtonWeight.NORMAL, pressed) for _ in range(MOST_ANSWERS))
        for widget in (heading(look, "Take the line over"), self._over_words, self.question):
            card.body.addWidget(widget)
        answers = QHBoxLayout()
        answers.setSpacing(look.px(8))
        for button in self.take_over:
            answers.addWidget(button)
        answers.addStretch(1)
        card.body.addLayout(answers)
        card.body.addSpacing(look.px(10))
        card.body.addWidget(self._note)
        card.body.addStretch(1)
        return card

    def show_other_client(self, state: OtherClientState) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self._asks.show_aside(state.aside)
        self.table.show_rows([_cells(one) for one in state.rows])
        self.table.setVisible(bool(state.rows))
        rows = max(1, min(TABLE_ROWS, len(state.rows)))
        self.table.setFixedHeight(self._look.px(28 + 32 * rows))
        self._nothing.show_text(state.nothing_whole, Tone.INK2)
        self._nothing.setVisible(bool(state.nothing_whole))
        self._show_round(state)
        self._risks.show_risks(state)
        self._show_take_over(state)
        self._listen_words.show_text(state.listen_words, Tone.INK2)
        self._search_words.show_text(state.search_words, Tone.INK2)
        if self.tick.text() != state.confirm_words:
            self.tick.setText(state.confirm_words)
            self.tick.setAccessibleName(state.confirm_words)
        if self.tick.isChecked() != state.is_confirmed:
            self.tick.setChecked(state.is_confirmed)
        self.search.show_action(state.search)
        self._note.show_text(state.note, Tone.INK2)

    def _show_round(self, state: OtherClientState) -> None:
        one = state.one_round
        self._round_card.show_aside(one.aside)
        self.one_round.setVisible(bool(one.boxes))
        self.one_round.show_round(one)
        self._round_words.show_text("" if one.boxes else one.words, Tone.INK2)
        self._round_words.setVisible(not one.boxes)

    def _show_take_over(self, state: OtherClientState) -> None:
        had = self.question.isVisibleTo(self)
        self._over_words.show_text(state.take_over_words, Tone.INK2)
        self.question.show_text(state.question)
        self.question.setVisible(bool(state.question))
        for at, button in enumerate(self.take_over):
            button.show_action(state.take_over[at] if at < len(state.take_over) else None)
        if state.question and not had:
            self.take_over[0].setFocus(Qt.FocusReason.OtherFocusReason)


def _cells(one: OverheardRow) -> Row:
    return (
        Cell(one.asks, weight=Weight.KEY),
        Cell(one.request),
        Cell(one.every, weight=Weight.BOLD),
        Cell(one.answered),
        Cell(one.came_back, tone_of(one.kind), shape=one.kind),
    )

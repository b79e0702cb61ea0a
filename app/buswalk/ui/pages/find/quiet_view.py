"""Draws a QuietState: who went quiet in large letters, where on the cable; beside it what changed and who answers."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.quiet_cable import QuietCable
from buswalk.ui.pages.find.quiet_names import QuietNames
from buswalk.ui.pages.find.quiet_presenter import QuietPresenter
from buswalk.ui.pages.find.quiet_state import AnswerRow, ChangeRow, QuietSound, QuietState
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CARD_GAP, ROW_DENSE, TABLE_HEAD, TEXT
from buswalk.ui.tones import Tone, tone_of
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Tick
from buswalk.ui.widgets.labels import Text, sentence
from buswalk.ui.widgets.shape_widgets import OutcomeSign
from buswalk.ui.widgets.table import Cell, Column, Row, Table, Weight

SIDE_WIDTH = 340
HEAD_HEIGHT = 40
"""Of a card above its table."""
CHANGE_ROWS, LEAST_ANSWERS, MOST_ANSWERS = 4, 4, 20
_CHANGES = (Column("Time", 78), Column("What", 0, may_be_cut=True))
_ANSWERS = (Column("Address", 78), Column("Device", 0, may_be_cut=True), Column("Last", 76, is_right=True))


class _SoundCard(Card):
    """Whether changes are heard, and what the tones mean."""

    def __init__(self, look: Look, presenter: QuietPresenter) -> None:
        super().__init__(look, "Sound", "off unless you tick it")
        self.tick = Tick(look, "Tone when one goes quiet or is back")
        self.tick.toggled.connect(lambda is_wanted: presenter.want_sound(is_wanted=is_wanted))
        self.body.addWidget(self.tick)
        for kind, words in presenter.state.sound.lines:
            row = QHBoxLayout()
            row.setSpacing(look.px(6))
            row.addWidget(OutcomeSign(look, kind))
            row.addWidget(Text(look, look.regular(TEXT), words), 1)
            self.body.addLayout(row)
        self._note = sentence(look)
        self.body.addWidget(self._note)

    def show_sound(self, state: QuietSound) -> None:
        """Show it."""
        if self.tick.isChecked() != state.is_wanted:
            self.tick.setChecked(state.is_wanted)
        self._note.show_text(state.note, Tone.INK2)


class _TableCard(Card):
    """A table that fills its card and scrolls; as high as its rows, between two limits."""

    def __init__(self, look: Look, name: str, columns: Sequence[Column], limits: tuple[int, int]) -> None:
        super().__init__(look, name)
        self._look = look
        self._least, self._most = limits
        self.let_body_reach_edges()
        self.table = Table(look, name, columns, ROW_DENSE)
        self.body.addWidget(self.table)

    def show_rows(self, rows: Sequence[Row]) -> None:
        """Show them, so many at once."""
        self.table.show_rows(rows)
        self.table.setMinimumHeight(self._height_of(min(self._least, len(rows))))
        most = self._height_of(min(self._most, len(rows)))
        self.table.setMaximumHeight(most)
        self.setMaximumHeight(most + self._look.px(HEAD_HEIGHT))

    def _height_of(self, rows: int) -> int:
        return self._look.px(TABLE_HEAD + ROW_DENSE * max(1, rows) + 2)


class QuietView(QWidget):
    """Who is quiet."""

    opened = Signal(int)

    def __init__(self, look: Look, narrow: Narrow, presenter: QuietPresenter) -> None:
        super().__init__()
        self._presenter = presenter
        self._shown: QuietState | None = None
        self.setAccessibleName("Who is quiet")
        self._names_card = Card(look, "Who went quiet")
        self.names = QuietNames(look)
        self.names.opened.connect(self.opened)
        self._below = sentence(look)
        self._names_card.body.addWidget(self.names)
        self._names_card.body.addWidget(self._below)
        self._beside = sentence(look)
        self._names_card.body.addWidget(self._beside)
        self._cable_card = Card(look, "Where on the cable", "places from the plan")
        self.cable = QuietCable(look)
        self._where = Text(look, look.bold(TEXT)).wrapped()
        self._cable_card.body.addWidget(self.cable)
        self._cable_card.body.addWidget(self._where)
        self._how = Card(look, "How this works")
        self._how.body.addWidget(sentence(look, presenter.state.how))
        limits = (LEAST_ANSWERS if narrow is Narrow.NO else MOST_ANSWERS, MOST_ANSWERS)
        self.changes = _TableCard(look, "What changed", _CHANGES, (CHANGE_ROWS, CHANGE_ROWS))
        self.answering = _TableCard(look, "Still answer", _ANSWERS, limits)
        self.sound = _SoundCard(look, presenter)
        self._lay_out(look, narrow)
        export = QShortcut(QKeySequence("Ctrl+E"), self)
        export.activated.connect(presenter.export)

    def _lay_out(self, look: Look, narrow: Narrow) -> None:
        both: QHBoxLayout | QVBoxLayout = QHBoxLayout(self) if narrow is Narrow.NO else QVBoxLayout(self)
        both.setContentsMargins(0, 0, 0, 0)
        both.setSpacing(look.px(CARD_GAP + 2))
        left, right = QVBoxLayout(), QVBoxLayout()
        for column, parts in (
            (left, (self._names_card, self._cable_card, self._how)),
            (right, (self.changes, self.answering, self.sound)),
        ):
            column.setSpacing(look.px(CARD_GAP))
            for part in parts:
                column.addWidget(part)
        if narrow is Narrow.YES:
            both.addLayout(left)
            both.addLayout(right)
            return
        left.addStretch(1)
        right.setStretch(1, 100)
        right.addStretch(1)
        right.setContentsMargins(0, 0, 0, 0)
        side = QWidget()
        side.setAccessibleName("what changed and who answers")
        side.setFixedWidth(look.px(SIDE_WIDTH))
        side.setLayout(right)
        both.addLayout(left, 1)
        both.addWidget(side)

    def refresh(self) -> None:
        """Show the presenter's state."""
        state = self._presenter.state
        if state is self._shown:
            return
        self._shown = state
        self._names_card.show_title(state.names.title)
        self._names_card.show_aside(state.names.aside, Tone.INK)
        self.names.show_names(state.names)
        self._below.show_text(state.names.below, Tone.INK2)
        self._below.setVisible(bool(state.names.below))
        self._beside.show_text(f"▲  {state.beside}", Tone.DOUBT)
        self._beside.setVisible(bool(state.beside))
        self._cable_card.setVisible(state.cable is not None)
        if state.cable is not None:
            self.cable.show_cable(state.cable)
            self._where.show_text(state.cable.words)
        self.changes.setVisible(bool(state.changes))
        self.changes.show_rows([_change_cells(one) for one in state.changes])
        self.answering.setVisible(bool(state.answering))
        self.answering.show_title(state.answering_title)
        self.answering.show_rows([_answer_cells(one) for one in state.answering])
        self.sound.show_sound(state.sound)
        self._give_way(len(state.names.names))

    def _give_way(self, quiet: int) -> None:
        """How it works gives way to names: whoever needs this view with so many quiet has read it."""
        self._how.setVisible(quiet < 4)

    def panes(self) -> Sequence[QWidget]:
        """Where F6 stops."""
        state = self._presenter.state
        panes: list[QWidget] = [*self.names.shown_rows()[:1]]
        panes += [self.changes.table] if state.changes else []
        panes += [self.answering.table] if state.answering else []
        return (*panes, self.sound.tick)


def _change_cells(one: ChangeRow) -> Row:
    weight = Weight.BOLD if one.is_now else Weight.REGULAR
    tone = Tone.INK if one.kind is None else tone_of(one.kind)
    return (Cell(one.time, Tone.INK2 if one.is_now else Tone.INK), Cell(one.words, tone, weight, shape=one.kind))


def _answer_cells(one: AnswerRow) -> Row:
    return (
        Cell(str(one.address), weight=Weight.KEY, shape=one.state, spoken=f"{one.address}, {one.state.word}"),
        Cell(one.name),
        Cell(one.last, Tone.INK2),
    )

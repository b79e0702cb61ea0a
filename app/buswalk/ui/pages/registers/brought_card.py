"""What a point list that was brought in is taken for, to be corrected, until its points are taken or left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import QEvent, QObject, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.registers_state import BroughtState, Chooser
from buswalk.ui.sizes import ROW_OUTCOME, SPACE_L, TABLE_HEAD
from buswalk.ui.table_cells import Column, Row
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, ColumnArea
from buswalk.ui.widgets.labels import Text, caption, sentence
from buswalk.ui.widgets.table import Table

LIST_COLUMNS = (
    Column("", 34),
    Column("Heading", 130, may_be_cut=True),
    Column("First entries", 0, may_be_cut=True),
    Column("Taken for", 180),
)
POINT_COLUMNS = (
    Column("First points", 0, may_be_cut=True),
    Column("As sent", 172),
    Column("Means", 240, may_be_cut=True),
    Column("Access", 62),
)
MOST_COLUMNS_NARROW = 8


@dataclass(frozen=True, slots=True)
class BroughtActs:
    """What the card asks for."""

    choose_sheet: Callable[[int], None]
    choose_heading: Callable[[int], None]
    choose_notation: Callable[[int], None]
    choose_table: Callable[[int], None]
    choose_column: Callable[[int], None]
    choose_meaning: Callable[[int], None]
    take: Callable[[], None]
    leave: Callable[[], None]


class BroughtCard(Card):
    """Shows a BroughtState."""

    def __init__(self, look: Look, narrow: Narrow, acts: BroughtActs) -> None:
        super().__init__(look, "List brought in")
        self._is_narrow = narrow is Narrow.YES
        self._make_choices(look, acts)
        self.columns = Table(look, "columns of the list", LIST_COLUMNS, ROW_OUTCOME)
        self.columns.row_chosen.connect(acts.choose_column)
        self.columns.opened.connect(lambda _row: self._to_meaning())
        self._meaning_of = caption(look, "")
        self.meaning = Choice(look, "what the chosen column is taken for")
        self.meaning.activated.connect(acts.choose_meaning)
        self.meaning.installEventFilter(self)
        self._hint = caption(look, "Enter on a column goes to what it is taken for, and Enter again back.")
        self.preview = Table(look, "first points", POINT_COLUMNS, ROW_OUTCOME)
        self._why, self._doubts, self._points = sentence(look), sentence(look), sentence(look)
        self._troubles, self._caution = sentence(look), sentence(look)
        self.take = Button(look, "Take these points", ButtonWeight.NORMAL)
        self.take.clicked.connect(lambda _checked=False: acts.take())
        self.leave = Button(look, "Leave it", ButtonWeight.NORMAL, "Esc")
        self.leave.clicked.connect(lambda _checked=False: acts.leave())
        self._lay_out(look)

    def _make_choices(self, look: Look, acts: BroughtActs) -> None:
        self.sheet, self.heading = Choice(look, "sheet of the workbook"), Choice(look, "row with the headings")
        self.notation, self.table = Choice(look, "how the list counts"), Choice(look, "table where a row names none")
        self._of_sheet = caption(look, "Sheet")
        for choice, act in (
            (self.sheet, acts.choose_sheet),
            (self.heading, acts.choose_heading),
            (self.notation, acts.choose_notation),
            (self.table, acts.choose_table),
        ):
            choice.activated.connect(act)

    def _lay_out(self, look: Look) -> None:
        grid = QGridLayout()
        grid.setContentsMargins(0, look.px(4), 0, look.px(6))
        grid.setHorizontalSpacing(look.px(12))
        grid.setVerticalSpacing(look.px(4))
        captions = (
            self._of_sheet,
            caption(look, "Headings stand in"),
            caption(look, "Addresses are"),
            caption(look, "Table where a row names none"),
        )
        for i, (words, widget) in enumerate(
            zip(captions, (self.sheet, self.heading, self.notation, self.table), strict=True)
        ):
            # A text has no sheets: they have a row of their own, so that no hole is left in their place.
            row, column = (2 * ((i + 1) // 2), (i + 1) % 2 if i else 0) if self._is_narrow else (0, i)
            grid.addWidget(words, row, column)
            grid.addWidget(widget, row + 1, column)
        grid.setColumnStretch(4, 1)
        self.body.addLayout(grid)
        if self._is_narrow:
            self._add_columns(look, self.body)
            self._add_outcome(self.body)
        else:
            self.body.addLayout(self._side_by_side(look), 1)
        self.body.addWidget(button_row(look, self.take, self.leave))

    def _side_by_side(self, look: Look) -> QHBoxLayout:
        """What the columns are taken for at the left, what that amounts to at the right."""
        both = QHBoxLayout()
        both.setSpacing(look.px(SPACE_L))
        left = QVBoxLayout()
        left.setSpacing(look.px(4))
        self._add_columns(look, left)
        outcome = QWidget()
        right = QVBoxLayout(outcome)
        right.setContentsMargins(0, 0, 0, 0)
        right.setSpacing(look.px(4))
        self._add_outcome(right)
        right.addStretch(1)
        both.addLayout(left, 5)
        both.addWidget(ColumnArea("what the list amounts to", outcome), 6)
        return both

    def _add_columns(self, look: Look, into: QVBoxLayout) -> None:
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        row.addWidget(self._meaning_of)
        row.addWidget(self.meaning)
        row.addStretch(1)
        into.addLayout(row)
        into.addWidget(self.columns, 1)
        into.addWidget(self._hint)

    def _add_outcome(self, into: QVBoxLayout) -> None:
        for one in (self.preview, self._points, self._why, self._doubts, self._troubles, self._caution):
            into.addWidget(one)

    def show_brought(self, state: BroughtState) -> None:
        """Show a list, or how it is read now."""
        self.show_title(state.title)
        for choice, shown in (
            (self.sheet, state.sheets),
            (self.heading, state.heads),
            (self.notation, state.notations),
            (self.table, state.tables),
            (self.meaning, state.meanings),
        ):
            _show(choice, shown)
        for one in (self._of_sheet, self.sheet):
            one.setVisible(len(state.sheets.words) > 1)
        self._meaning_of.show_text(state.meaning_of)
        self.columns.show_rows(state.columns)
        self.columns.choose_row(state.column)
        self.preview.show_rows(state.preview)
        self.preview.setVisible(bool(state.preview))
        self._fit_heights(state.columns, state.preview)
        for text, words, tone in (
            (self._points, state.points, Tone.INK),
            (self._why, state.why_notation, state.why_tone),
            (self._doubts, "\n".join(state.doubts), Tone.DOUBT),
            (self._troubles, "\n".join(state.troubles), state.troubles_tone),
            (self._caution, state.caution, Tone.DOUBT),
        ):
            _say(text, words, tone)
        if state.refusal:
            self.take.refuse(state.refusal)
        else:
            self.take.allow()

    def _fit_heights(self, columns: tuple[Row, ...], points: tuple[Row, ...]) -> None:
        """Give tables in a scrolling column the height of their rows."""
        px = self._look.px
        self.preview.setFixedHeight(px(TABLE_HEAD + max(1, len(points)) * ROW_OUTCOME + 2))
        if self._is_narrow:
            rows = min(max(1, len(columns)), MOST_COLUMNS_NARROW)
            self.columns.setFixedHeight(px(TABLE_HEAD + rows * ROW_OUTCOME + 2))

    # Keys

    def _to_meaning(self) -> None:
        self.meaning.setFocus(Qt.FocusReason.OtherFocusReason)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Enter on a meaning that is shown leads back to the columns."""
        is_enter = (
            isinstance(event, QKeyEvent)
            and event.type() is QEvent.Type.KeyPress
            and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        )
        if watched is self.meaning and is_enter:
            self.columns.setFocus(Qt.FocusReason.OtherFocusReason)
            return True
        return super().eventFilter(watched, event)


def _show(choice: Choice, shown: Chooser) -> None:
    choice.show_choices(shown.words)
    choice.show_chosen(shown.chosen)


def _say(text: Text, words: str, tone: Tone) -> None:
    text.show_text(words, tone)
    text.setVisible(bool(words))

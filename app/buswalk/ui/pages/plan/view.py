"""Draws the page Plan: list, checks and cards; or a list that is not taken yet; or that nothing is planned."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QGuiApplication, QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.plan.plan_cards import ChecksCard, ListCard, PlaceCard, StrangersCard, TroublesCard
from buswalk.ui.pages.plan.plan_state import PlanState
from buswalk.ui.pages.plan.plan_table import PlanTable
from buswalk.ui.pages.plan.presenter import PlanPresenter
from buswalk.ui.pages.plan.preview_pane import PreviewPane
from buswalk.ui.sizes import CARD_GAP, ROW_OF_LONG_TABLE, SPACE_S, TABLE_HEAD
from buswalk.ui.widgets.band import Band
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.empty_state import EmptyState
from buswalk.ui.widgets.entries import ColumnArea
from buswalk.ui.widgets.page_top import PageTop

SIDE_WIDTH = 380
KEYS = "F2 edit   Alt+Up/Down move   Insert, Delete row"
LEAST_ROWS_NARROW, MOST_ROWS_NARROW = 5, 8
LIST_FACE, PREVIEW_FACE, EMPTY_FACE = range(3)
EMPTY = EmptyWords(
    will_stand="Here stands the planned list: what hangs where on the cable, at which address and setting.",
    fact="Find asks planned addresses first, and compares what it finds with them.",
    button="Choose a list…",
    key="F5",
    will_not="Ctrl+V pastes rows of a spreadsheet, Insert begins by hand. Nothing is written to a device.",
)


class PlanView(QWidget):
    """Shows a PlanState."""

    def __init__(self, look: Look, narrow: Narrow, presenter: PlanPresenter) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._presenter = presenter
        self._shown: PlanState | None = None
        self.setAccessibleName("Plan")
        self.export = Button(look, "Export", ButtonWeight.NORMAL, "Ctrl+E")
        self.switches = Button(look, "Show switches", ButtonWeight.NORMAL, "F7")
        self.main = Button(look, "Check the plan", ButtonWeight.MAIN, "F5")
        self.export.clicked.connect(lambda _checked=False: presenter.export())
        self.switches.clicked.connect(lambda _checked=False: self._to_switches())
        self.main.clicked.connect(lambda _checked=False: presenter.main_action())
        self._top = PageTop(look, narrow, "Plan", (self.export, self.switches, self.main))
        self._band = Band(look)
        self._make_cards(look, narrow)
        self.preview = PreviewPane(look, narrow, presenter)
        self.empty = EmptyState(look, EMPTY)
        self.empty.button.clicked.connect(lambda _checked=False: presenter.main_action())
        self._faces = QStackedWidget()
        self._faces.setAccessibleName("planned list")
        self._faces.addWidget(self._narrow_face() if narrow is Narrow.YES else self._wide_face())
        is_narrow = narrow is Narrow.YES
        self._faces.addWidget(ColumnArea("a list that is not taken yet", self.preview) if is_narrow else self.preview)
        self._faces.addWidget(self.empty)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        for one in (self._top, self._band, self.troubles):
            column.addWidget(one)
        column.addWidget(self._faces, 1)
        self._add_keys()

    def _make_cards(self, look: Look, narrow: Narrow) -> None:
        presenter = self._presenter
        self.table = PlanTable(look, narrow)
        self.table.row_chosen.connect(presenter.choose)
        self.table.edited.connect(presenter.edit)
        self.table.inserted.connect(self._insert)
        self.table.deleted.connect(presenter.delete)
        self.table.moved.connect(presenter.move)
        self.table.undone.connect(presenter.undo)
        self.table.redone.connect(presenter.redo)
        self.table.pasted.connect(presenter.paste)
        self._list = Card(look, "Planned devices", KEYS)
        self._list.let_body_reach_edges()
        self._list.body.addWidget(self.table, 1)
        self.insert, self.delete = (
            Button(look, "New row", ButtonWeight.SMALL, "Insert"),
            Button(look, "Delete row", ButtonWeight.SMALL, "Delete"),
        )
        self.insert.clicked.connect(lambda _checked=False: self._insert())
        self.delete.clicked.connect(lambda _checked=False: presenter.delete())
        self.checks = ChecksCard(look)
        self.place = PlaceCard(look)
        self.strangers = StrangersCard(look, presenter.take_strangers)
        self.lists = ListCard(look, presenter.bring_in, self._paste)
        self.troubles = TroublesCard(look, presenter.dismiss_troubles)

    def _wide_face(self) -> QWidget:
        face = QWidget()
        row = QHBoxLayout(face)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(self._look.px(CARD_GAP))
        left = QVBoxLayout()
        left.setSpacing(self._look.px(CARD_GAP))
        left.addWidget(self._list, 1)
        left.addWidget(self.checks)
        side = QWidget()
        side.setFixedWidth(self._look.px(SIDE_WIDTH))
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._look.px(CARD_GAP))
        for one in (self.place, self.strangers, self.lists):
            column.addWidget(one)
        column.addWidget(button_row(self._look, self.insert, self.delete))
        column.addStretch(1)
        row.addLayout(left, 1)
        row.addWidget(side)
        return face

    def _narrow_face(self) -> QWidget:
        face = QWidget()
        column = QVBoxLayout(face)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._look.px(CARD_GAP))
        for one in (self._list, self.checks, self.place, self.strangers, self.lists):
            column.addWidget(one)
        column.addWidget(button_row(self._look, self.insert, self.delete))
        column.addStretch(1)
        return ColumnArea("planned list and cards", face)

    def _add_keys(self) -> None:
        presenter = self._presenter
        for keys, act in (
            (QKeySequence("Ctrl+E"), presenter.export),
            (QKeySequence("F7"), self._to_switches),
            (QKeySequence("F4"), presenter.to_registers),
        ):
            shortcut = QShortcut(keys, self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)

    # What the shell asks for

    def widget(self) -> QWidget:
        """Itself."""
        return self

    def refresh(self) -> None:
        """Draw what has changed."""
        state = self._presenter.state
        if state == self._shown:
            return
        before, self._shown = self._shown, state
        self._top.show_sentence(state.sentence, state.sentence_tone)
        self._band.show_band(state.band)
        self._show_buttons(state)
        self._list.show_title(state.title)
        self.table.fit_rows(len(state.rows))
        self.table.show_rows([tuple(row[i] for i in self.table.shown_columns(len(row))) for row in state.rows])
        self.table.choose_row(state.chosen)
        if self._narrow is Narrow.YES:
            rows = min(max(len(state.rows), LEAST_ROWS_NARROW), MOST_ROWS_NARROW)
            self.table.setFixedHeight(self._look.px(TABLE_HEAD + rows * ROW_OF_LONG_TABLE + 2))
        self._show_cards(state)
        face = PREVIEW_FACE if state.preview is not None else EMPTY_FACE if state.is_empty else LIST_FACE
        if face != self._faces.currentIndex() or before is None:
            had_focus = before is not None and self.isAncestorOf(self.focusWidget() or self)
            self._faces.setCurrentIndex(face)
            if had_focus or self.focusWidget() is not None:
                self.first_focus().setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_buttons(self, state: PlanState) -> None:
        is_list = state.preview is None and not state.is_empty
        self.main.setVisible(is_list)
        self.export.setVisible(is_list)
        self.switches.setVisible(is_list)
        if state.main_refused and (self.main.isEnabled() or self.main.toolTip() != state.main_refused):
            self.main.refuse(state.main_refused)
        elif not state.main_refused and not self.main.isEnabled():
            self.main.allow()

    def _show_cards(self, state: PlanState) -> None:
        self.checks.show_checks(state.checks)
        self.checks.setVisible(bool(state.checks))
        self.place.setVisible(state.place is not None)
        if state.place is not None:
            self.place.show_place(state.place)
        self.strangers.setVisible(state.strangers is not None)
        if state.strangers is not None:
            self.strangers.show_strangers(state.strangers)
        self.lists.show_acts(state.undo_words, state.told)
        self.troubles.show_troubles(state.troubles)
        if state.preview is not None:
            self.preview.show_preview(state.preview)

    def panes(self) -> Sequence[QWidget]:
        """List, then its cards; or the list that is not taken yet; or the empty page's button."""
        match self._faces.currentIndex():
            case 1:
                return self.preview.first_focus(), self.preview.table
            case 2:
                return (self.empty.button,)
            case _:
                return self.table, self.lists.bring_in

    def first_focus(self) -> QWidget:
        """The list, or the one thing to do."""
        return self.panes()[0]

    # Keys

    def _insert(self) -> None:
        """Put in a row, and open its address to be written."""
        self._presenter.insert()
        self.refresh()
        self.table.open_cell(self._presenter.state.chosen, 1)

    def _to_switches(self) -> None:
        if self._faces.currentIndex() == LIST_FACE:
            self._presenter.to_switches()
            self.refresh()

    def _paste(self) -> None:
        self._presenter.paste(QGuiApplication.clipboard().text())

    def event(self, event: QEvent) -> bool:
        """Keep Esc for a list that is not taken yet: elsewhere it stops the job."""
        if event.type() is QEvent.Type.ShortcutOverride and self._leaves_preview(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc takes nothing of a list; on an empty page Ctrl+V pastes and Insert begins by hand."""
        is_empty = self._faces.currentIndex() == EMPTY_FACE
        if self._leaves_preview(event):
            self._presenter.leave_brought_in()
        elif is_empty and event.matches(QKeySequence.StandardKey.Paste):
            self._paste()
        elif is_empty and event.key() == Qt.Key.Key_Insert:
            self._insert()
        else:
            super().keyPressEvent(event)

    def _leaves_preview(self, event: QEvent) -> bool:
        is_escape = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        return is_escape and self._faces.currentIndex() == PREVIEW_FACE

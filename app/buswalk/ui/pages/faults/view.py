"""Draws the page Faults: filter, table of devices, timeline, the shown exchange, and figures, marks or watch."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.look import Look
from buswalk.ui.pages.faults.exchange_card import ExchangeCard
from buswalk.ui.pages.faults.fault_table import FaultTable
from buswalk.ui.pages.faults.faults_state import FaultsState
from buswalk.ui.pages.faults.filter_line import FilterLine
from buswalk.ui.pages.faults.presenter import FaultsPresenter
from buswalk.ui.pages.faults.side_card import SideCard
from buswalk.ui.pages.faults.timeline_view import TimelineView
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CARD_GAP, ROW_DENSE, SPACE_S, TABLE_HEAD
from buswalk.ui.widgets.band import Band
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.empty_state import EmptyState
from buswalk.ui.widgets.entries import ColumnArea
from buswalk.ui.widgets.page_top import PageTop

SIDE_WIDTH = 313
TIMELINE_HEIGHT = 136
EXCHANGE_HEIGHT = 262
LEAST_ROWS, MOST_ROWS_NARROW = 3, 8
TABLES_FACE, EMPTY_FACE = range(2)
NO_WORDS = EmptyWords("Here stands what was not clean on this line.", "", "Watch", "F5", "Reads only.")


class FaultsView(QWidget):
    """Shows a FaultsState."""

    def __init__(self, look: Look, narrow: Narrow, presenter: FaultsPresenter) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._presenter = presenter
        self._shown: FaultsState | None = None
        self._empty_words: EmptyWords | None = None
        self.setAccessibleName("Faults")
        self.record = Button(look, "Record…", ButtonWeight.NORMAL)
        self.print = Button(look, "Print", ButtonWeight.NORMAL, "Ctrl+P")
        self.export = Button(look, "Export", ButtonWeight.NORMAL, "Ctrl+E")
        self.main = Button(look, "Watch", ButtonWeight.MAIN, "F5")
        self._top = PageTop(look, narrow, "Faults", (self.record, self.print, self.export, self.main))
        self._band = Band(look)
        self._make_cards()
        self.empty = EmptyState(look, NO_WORDS)
        self._faces = QStackedWidget()
        self._faces.setAccessibleName("what was not clean")
        self._faces.addWidget(self._narrow_face() if narrow is Narrow.YES else self._wide_face())
        self._faces.addWidget(self.empty)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        for one in (self._top, self._band):
            column.addWidget(one)
        column.addWidget(self._faces, 1)
        self._connect()

    def _make_cards(self) -> None:
        look = self._look
        self.filters = FilterLine(look, self._narrow)
        self.table = FaultTable(look, self._narrow)
        self._table_card = Card(look, "")
        self._table_card.setAccessibleName("devices")
        self._table_card.let_body_reach_edges()
        self._table_card.body.addWidget(self.table, 1)
        self.timeline = TimelineView(look)
        self._timeline_card = Card(look, "When, by device", "F8 next   Shift+F8 previous")
        self._timeline_card.body.addWidget(self.timeline, 1)
        self._timeline_card.setMinimumHeight(look.px(TIMELINE_HEIGHT))
        self.exchange = ExchangeCard(look, self._narrow)
        self.side = SideCard(look, self._narrow)

    def _wide_face(self) -> QWidget:
        look = self._look
        face = QWidget()
        column = QVBoxLayout(face)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(CARD_GAP) - 2)
        lower = QHBoxLayout()
        lower.setSpacing(look.px(CARD_GAP))
        left = QVBoxLayout()
        left.setSpacing(look.px(CARD_GAP) - 2)
        left.addWidget(self._timeline_card, 1)
        left.addWidget(self.exchange, 1)
        self.side.setFixedWidth(look.px(SIDE_WIDTH))
        lower.addLayout(left, 1)
        lower.addWidget(self.side)
        self.exchange.setMinimumHeight(look.px(EXCHANGE_HEIGHT))
        column.addWidget(self.filters)
        column.addWidget(self._table_card, 1)
        column.addLayout(lower, 1)
        return face

    def _narrow_face(self) -> QWidget:
        face = QWidget()
        column = QVBoxLayout(face)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._look.px(CARD_GAP))
        for one in (self.filters, self._table_card, self._timeline_card, self.exchange, self.side):
            column.addWidget(one)
        column.addStretch(1)
        return ColumnArea("devices, timeline, exchange and figures", face)

    def _connect(self) -> None:
        presenter = self._presenter
        for button, act in (
            (self.record, presenter.choose_record),
            (self.print, presenter.print_sheet),
            (self.export, presenter.export),
            (self.main, presenter.main_action),
            (self.empty.button, presenter.main_action),
        ):
            button.clicked.connect(self._then_draw(act))
        self._band.pressed.connect(presenter.pressed)
        self.filters.chosen.connect(presenter.choose_filter)
        self.filters.typed.connect(presenter.type_times)
        self.filters.cleared.connect(presenter.clear_filters)
        self.table.row_chosen.connect(presenter.choose_row)
        self.table.opened.connect(presenter.open_row)
        self.timeline.walked.connect(presenter.walk_device)
        self.timeline.lane_stepped.connect(presenter.step_lane)
        self.timeline.lane_pressed.connect(presenter.choose_device)
        self.timeline.lanes_fit.connect(presenter.fit_lanes)
        self.exchange.walked.connect(presenter.walk_abnormal)
        self.exchange.around.connect(presenter.look_around)
        self.side.face_chosen.connect(presenter.choose_side)
        self._connect_side()
        for keys, does in (
            ("Ctrl+E", presenter.export),
            ("Ctrl+P", presenter.print_sheet),
            ("Ctrl+Shift+C", self.exchange.copy_bytes),
        ):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(does)

    def _connect_side(self) -> None:
        presenter, marks = self._presenter, self.side.marks
        marks.chosen.connect(presenter.choose_mark)
        marks.kept.connect(
            lambda words, start, end: presenter.act_on_mark(lambda: presenter.marks.keep(words, start, end))
        )
        marks.ended.connect(presenter.end_mark_now)
        marks.taken_back.connect(lambda: presenter.act_on_mark(presenter.marks.take_back))
        marks.new_wanted.connect(lambda: presenter.act_on_mark(presenter.marks.new))
        self.side.watch.period_chosen.connect(presenter.choose_period)
        self.side.watch.share_chosen.connect(presenter.choose_share)
        self.side.watch.wait_chosen.connect(presenter.choose_wait)

    def _then_draw(self, act: Callable[[], None]) -> Callable[[bool], None]:
        def does(_checked: bool = False) -> None:
            act()
            self.refresh()

        return does

    # What the shell asks for

    def widget(self) -> QWidget:
        """Itself."""
        return self

    def refresh(self) -> None:
        """Draw what has changed."""
        state = self._presenter.state
        if state is self._shown:
            return
        before, self._shown = self._shown, state
        self._top.show_sentence(state.sentence)
        self._band.show_band(state.band)
        self._show_main(state)
        self.filters.show_choices(state.filters, is_filtered=state.is_filtered)
        self.filters.times.show_times(state.typed_times)
        if before is None or before.rows != state.rows:
            self.table.show_rows(state.rows)
            self._fit_table(len(state.rows))
        self.table.choose_row(state.chosen)
        self.timeline.show_state(state.timeline)
        more = state.timeline.aside
        self._timeline_card.show_aside(
            f"{more}   F8 next   Shift+F8 previous" if more else "F8 next   Shift+F8 previous"
        )
        self.exchange.show_exchange(state.exchange, state.no_exchange)
        self.side.show_state(state)
        self._show_face(state)

    def _show_main(self, state: FaultsState) -> None:
        is_empty = state.empty is not None
        self.main.show_words(state.main.words, "F5")
        for one in (self.main, self.print, self.export):
            one.setVisible(not is_empty)
        for button in (self.main, self.empty.button):
            if state.main.refusal:
                button.refuse(state.main.refusal)
            elif not button.isEnabled():
                button.allow()

    def _fit_table(self, rows: int) -> None:
        """As high as its rows at most; where the page scrolls, as high as needed."""
        if self._narrow is Narrow.YES:
            shown = min(max(rows, LEAST_ROWS), MOST_ROWS_NARROW)
            self.table.setFixedHeight(self._look.px(TABLE_HEAD + shown * ROW_DENSE + 2))
        else:
            needed = TABLE_HEAD + max(rows, LEAST_ROWS) * ROW_DENSE + 6
            self._table_card.setMaximumHeight(self._look.px(needed))

    def _show_face(self, state: FaultsState) -> None:
        if state.empty is not None and state.empty != self._empty_words:
            self._empty_words = state.empty
            had_focus = self.empty.button.hasFocus()
            fresh = EmptyState(self._look, state.empty)
            fresh.button.clicked.connect(self._then_draw(self._presenter.main_action))
            self._faces.removeWidget(self.empty)
            self.empty.deleteLater()
            self.empty = fresh
            self._faces.addWidget(fresh)
            self._show_main(state)
            if had_focus:
                fresh.button.setFocus(Qt.FocusReason.OtherFocusReason)
        face = EMPTY_FACE if state.empty is not None else TABLES_FACE
        if face != self._faces.currentIndex():
            had_focus = self.isAncestorOf(self.focusWidget() or self)
            self._faces.setCurrentIndex(face)
            if had_focus:
                self.first_focus().setFocus(Qt.FocusReason.OtherFocusReason)

    def panes(self) -> Sequence[QWidget]:
        """Filter, table, timeline, exchange, the card at the right; or the empty page's button."""
        if self._faces.currentIndex() == EMPTY_FACE:
            return (self.empty.button if self.empty.button.isEnabled() else self.record,)
        segment = self.side.segment
        return self.filters.choices[0], self.table, self.timeline, self.exchange.next, segment.part(segment.index)

    def first_focus(self) -> QWidget:
        """The table, or the one thing to do."""
        return self.panes()[0] if self._faces.currentIndex() == EMPTY_FACE else self.table

"""Draws the page Trend: plots with their tool line, the cards at the side, or the choice of points."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.look import Look
from buswalk.ui.pages.cycle_desk import CycleDesk
from buswalk.ui.pages.cycle_pane import CyclePane
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.trend.figures_card import FiguresCard
from buswalk.ui.pages.trend.pick_pane import PickPane
from buswalk.ui.pages.trend.plots_view import PlotsView
from buswalk.ui.pages.trend.presenter import TrendPresenter
from buswalk.ui.pages.trend.readings_card import ReadingsCard
from buswalk.ui.pages.trend.time_window import WORDS
from buswalk.ui.pages.trend.tool_line import ToolLine
from buswalk.ui.pages.trend.trend_state import TrendState
from buswalk.ui.sizes import CARD_GAP, ROW_OUTCOME, SPACE_S, TABLE_HEAD
from buswalk.ui.widgets.band import Band
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.empty_state import EmptyState
from buswalk.ui.widgets.entries import ColumnArea
from buswalk.ui.widgets.page_top import PageTop
from buswalk.ui.widgets.table import Column, Table

SIDE_WIDTH = 340
NARROW_PLOTS, NARROW_TABLE, NARROW_PICK = 360, 200, 300
LEAST_FOR_MARKS = 560
LEAST_FOR_BOTH = 500
FEW_MARK_ROWS, MOST_MARK_ROWS = 3, 9
HIGH = 760
VALUES_FACE, PICK_FACE, EMPTY_FACE, CYCLE_FACE = range(4)
EMPTY = EmptyWords(
    will_stand="Here stand the values of watched points over time, plots by unit, with marks and gaps.",
    fact="Warm or switch something after a mark (Ctrl+M): the page tells which point moved, and how fast.",
    button="Choose points",
    key="F5",
    will_not="Reads only: nothing is written to a device.",
)


class TrendView(QWidget):
    """Shows a TrendState."""

    def __init__(self, look: Look, narrow: Narrow, presenter: TrendPresenter, cycle: CycleDesk) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._presenter = presenter
        self._cycle = cycle
        self._is_cycle_shown = False
        self._shown: TrendState | None = None
        self.setAccessibleName("Trend")
        self.record = Button(look, "Record…", ButtonWeight.NORMAL)
        self.to_cycle = Button(look, "Cycle", ButtonWeight.NORMAL, "F3")
        self.export = Button(look, "Export", ButtonWeight.NORMAL, "Ctrl+E")
        self.main = Button(look, "Watch", ButtonWeight.MAIN, "F5")
        self._top = PageTop(look, narrow, "Trend", (self.record, self.to_cycle, self.export, self.main))
        self._band = Band(look)
        self.tools = ToolLine(look, WORDS)
        self.plots = PlotsView(look)
        self.readings = ReadingsCard(look)
        self.before, self.after = FiguresCard(look), FiguresCard(look)
        self._marks_card = Card(look, "")
        self._marks_card.setAccessibleName("marks and gaps")
        columns = (Column("", 46), Column("Time", 74), Column("Mark or gap", 0, may_be_cut=True))
        self.marks = Table(look, "marks and gaps", columns, ROW_OUTCOME)
        self._marks_card.let_body_reach_edges()
        self._marks_card.body.addWidget(self.marks, 1)
        self.pick = PickPane(look)
        self.empty = EmptyState(look, EMPTY)
        self._faces = QStackedWidget()
        self._faces.setAccessibleName("values over time")
        is_narrow = narrow is Narrow.YES
        self._faces.addWidget(self._narrow_face() if is_narrow else self._wide_face())
        self._faces.addWidget(ColumnArea("choice of points", self.pick) if is_narrow else self.pick)
        self._faces.addWidget(self.empty)
        self.cycle = CyclePane(look, narrow, cycle)
        self._faces.addWidget(ColumnArea("cycle of the watch", self.cycle))
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        column.addWidget(self._top)
        column.addWidget(self._band)
        column.addWidget(self._faces, 1)
        self._connect(presenter)

    def _wide_face(self) -> QWidget:
        face = QWidget()
        row = QHBoxLayout(face)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(self._look.px(CARD_GAP))
        left = QVBoxLayout()
        left.setSpacing(self._look.px(SPACE_S))
        left.addWidget(self.tools)
        left.addWidget(self.plots, 1)
        side = QWidget()
        side.setFixedWidth(self._look.px(SIDE_WIDTH))
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._look.px(SPACE_S))
        column.addWidget(self.readings, 1)
        column.addWidget(self.before)
        column.addWidget(self.after)
        column.addWidget(self._marks_card)
        row.addLayout(left, 1)
        row.addWidget(side)
        return face

    def _narrow_face(self) -> QWidget:
        look = self._look
        face = QWidget()
        column = QVBoxLayout(face)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        self.plots.setFixedHeight(look.px(NARROW_PLOTS))
        self.readings.setFixedHeight(look.px(NARROW_TABLE))
        self._marks_card.setFixedHeight(look.px(NARROW_TABLE))
        self.pick.points.setFixedHeight(look.px(NARROW_PICK))
        for one in (self.tools, self.plots, self.readings, self.before, self.after, self._marks_card):
            column.addWidget(one)
        column.addStretch(1)
        return ColumnArea("values over time", face)

    def _connect(self, presenter: TrendPresenter) -> None:
        acts: tuple[tuple[Button, Callable[[], None]], ...] = (
            (self.record, presenter.choose_record),
            (self.to_cycle, self._cycle.toggle),
            (self.cycle.cycle.back, self._cycle.close),
            (self.export, presenter.export),
            (self.main, presenter.main_action),
            (self.empty.button, presenter.main_action),
            (self.tools.points, self._pick),
            (self.tools.mark, presenter.mark),
            (self.tools.next_unit, self._next_tab),
            (self.pick.bring_in, presenter.bring_in_hand),
            (self.pick.fit, presenter.fit_hand),
            (self.pick.remove, presenter.hand.remove),
        )
        for button, act in acts:
            button.clicked.connect(lambda _checked=False, act=act: self._do(act))
        self.tools.session.activated.connect(lambda at: self._do(lambda: presenter.choose_session(at)))
        self._band.pressed.connect(lambda _name: self._do(presenter.back_to_visit))
        self.tools.windows.chosen.connect(lambda at: self._do(lambda: presenter.choose_window(at)))
        plots = self.plots
        plots.cursor_put.connect(lambda at_s: self._do(lambda: presenter.put_cursor(at_s)))
        plots.cursor_moved.connect(lambda steps: self._do(lambda: presenter.move_cursor(steps)))
        plots.cursor_home.connect(lambda: self._do(presenter.cursor_home))
        plots.cursor_end.connect(lambda: self._do(presenter.cursor_end))
        plots.panned.connect(lambda share: self._do(lambda: presenter.pan(share)))
        plots.zoomed.connect(lambda factor, around: self._do(lambda: presenter.zoom(factor, around)))
        self.readings.face_chosen.connect(lambda face: self._do(lambda: presenter.choose_face(face)))
        self.readings.point_chosen.connect(lambda row: self._do(lambda: presenter.choose_point(row)))
        self.marks.opened.connect(lambda row: self._do(lambda: presenter.choose_mark(row)))
        self.marks.clicked.connect(lambda index: self._do(lambda: presenter.choose_mark(index.row())))
        self.pick.table.toggled.connect(lambda row: self._do(lambda: presenter.picking.toggle(row)))
        chosen = self.pick
        periods = (
            (chosen.for_point, presenter.picking.read_point_every),
            (chosen.for_device, presenter.picking.read_device_every),
        )
        for button, set_period in periods:
            button.clicked.connect(lambda _checked=False, act=set_period: self._set_period(act))
        chosen.period.returnPressed.connect(lambda: self._set_period(presenter.picking.read_point_every))
        chosen.retries.activated.connect(lambda most: self._do(lambda: presenter.picking.choose_retries(most)))
        chosen.device.activated.connect(lambda at: self._do(lambda: presenter.picking.choose_device(at)))
        chosen.offer.clicked.connect(lambda _checked=False: self._offer())
        self.pick.offset.returnPressed.connect(lambda: self._do(lambda: presenter.hand.shift(self.pick.offset.text())))
        for keys, act in (("Ctrl+E", presenter.export), ("F2", self._pick), ("F3", self._cycle.toggle)):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(lambda act=act: self._do(act))

    def _do(self, act: Callable[[], None]) -> None:
        """Do it, and show at once what came of it."""
        act()
        self.refresh()

    def _pick(self) -> None:
        """Open or close the choice of points; from the cycle, open it."""
        if not (self._cycle.is_open and self._presenter.picking.is_open):
            self._presenter.pick()
        self._cycle.close()

    def _set_period(self, act: Callable[[int, str], None]) -> None:
        row, text = self.pick.table.currentIndex().row(), self.pick.period.text()
        self._do(lambda: act(row, text))

    def _offer(self) -> None:
        """List the points of the device, and go to them."""
        pick = self.pick
        self._do(lambda: self._presenter.picking.offer(pick.device.currentIndex(), pick.profile.currentIndex()))
        pick.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _next_tab(self) -> None:
        tabs = self._presenter.state.plots.tabs
        if tabs:
            self._presenter.choose_tab((self._presenter.state.plots.tab + 1) % len(tabs))

    # What the shell asks for

    def widget(self) -> QWidget:
        """Itself."""
        return self

    def refresh(self) -> None:
        """Draw what has changed."""
        state = self._presenter.state
        if self._cycle.is_open:
            self.cycle.refresh()
        if state == self._shown and self._cycle.is_open is self._is_cycle_shown:
            return
        before, self._shown = self._shown, state
        self._is_cycle_shown = self._cycle.is_open
        self._top.show_sentence(state.sentence, state.sentence_tone)
        self._band.show_band(state.band)
        self.main.show_words(state.main_words, "F5")
        face = PICK_FACE if state.is_picking else EMPTY_FACE if state.is_empty else VALUES_FACE
        face = CYCLE_FACE if self._cycle.is_open else face
        self.to_cycle.setVisible(face in (VALUES_FACE, PICK_FACE))
        self.export.setVisible(face == VALUES_FACE)
        self.main.setVisible(face != EMPTY_FACE)
        self.empty.button.show_words(state.main_words, "F5")
        if face == VALUES_FACE:
            self._show_values(state)
        elif face == PICK_FACE:
            self.pick.show_pick(state.pick)
        if face != self._faces.currentIndex() or before is None:
            had_focus = before is not None and self.focusWidget() is not None
            self._faces.setCurrentIndex(face)
            if had_focus:
                self.first_focus().setFocus(Qt.FocusReason.OtherFocusReason)
        if state.picture_wanted:
            self._save_picture(state.picture_wanted)

    def _show_values(self, state: TrendState) -> None:
        self.tools.show_tools(state)
        self.plots.show_plots(state.plots)
        self.readings.show_readings(state.readings)
        self.before.show_figures(state.before)
        self.after.setVisible(state.after is not None)
        if state.after is not None:
            self.after.show_figures(state.after)
        self.marks.show_rows(state.marks)
        height = self.height() - (0 if state.band is None else self._band.sizeHint().height() + self._look.px(SPACE_S))
        is_low = self._narrow is Narrow.NO and height < self._look.px(LEAST_FOR_BOTH)
        self.before.setVisible(state.after is None or not is_low)
        has_room = self._narrow is Narrow.YES or height >= self._look.px(LEAST_FOR_MARKS)
        self._marks_card.setVisible(bool(state.marks) and has_room)
        if self._narrow is Narrow.NO:
            most = MOST_MARK_ROWS if height >= self._look.px(HIGH) else FEW_MARK_ROWS
            rows = min(max(len(state.marks), 1), most)
            self._marks_card.setFixedHeight(self._look.px(TABLE_HEAD + rows * ROW_OUTCOME) + 4)
        self.marks.choose_row(state.chosen_mark)

    def _save_picture(self, path: str) -> None:
        is_saved = self.plots.save_picture(path)
        name = path.replace("\\", "/").rsplit("/", 1)[-1]
        self._presenter.picture_drawn(
            f"Saved as {name}." if is_saved else f"{name} cannot be written there: choose another place."
        )

    def panes(self) -> Sequence[QWidget]:
        """Plots, readings, marks; or the points to choose from; or the empty page's button."""
        match self._faces.currentIndex():
            case 1:
                return self.pick.table, self.pick.bring_in
            case 2:
                return (self.empty.button,)
            case 3:
                return self.cycle.panes()
            case _:
                return self.plots, self.tools.points, self.readings.table, self.marks

    def first_focus(self) -> QWidget:
        """The plots, or the one thing to do."""
        if self._faces.currentIndex() == PICK_FACE and not self.pick.table.isVisibleTo(self.pick):
            return self.pick.device if self.pick.device.isVisibleTo(self.pick) else self.pick.bring_in
        return self.panes()[0]

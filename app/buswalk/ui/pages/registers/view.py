"""Draws the page Registers: what is read, the points, every reading of one, the write box; or that nothing is known."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.beside_band import BESIDE, beside_band
from buswalk.ui.pages.registers.brought_card import BroughtActs, BroughtCard
from buswalk.ui.pages.registers.describe_card import DescribeActs, DescribeCard
from buswalk.ui.pages.registers.finder_card import FinderActs, FinderCard
from buswalk.ui.pages.registers.learn_card import LearnActs, LearnCard
from buswalk.ui.pages.registers.other_cards import OtherCards
from buswalk.ui.pages.registers.points_table import PointsTable
from buswalk.ui.pages.registers.presenter import RegistersPresenter
from buswalk.ui.pages.registers.readings_card import ReadingsCard
from buswalk.ui.pages.registers.registers_state import RegistersFace, RegistersState, WriteFace
from buswalk.ui.pages.registers.registers_top import RegistersTop
from buswalk.ui.pages.registers.selectors_card import SelectorsCard
from buswalk.ui.pages.registers.write_card import WriteActs, WriteCard
from buswalk.ui.sizes import CARD_GAP, ROW_OF_LONG_TABLE, SPACE_S, TABLE_HEAD
from buswalk.ui.widgets.band import Band
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.empty_state import EmptyState
from buswalk.ui.widgets.entries import ColumnArea

SIDE_WIDTH = 384
LEAST_ROWS_NARROW, MOST_ROWS_NARROW = 5, 9
LIST_FACE, EMPTY_FACE = range(2)
EMPTY = EmptyWords(
    will_stand="Here stand the values of one device, by the list that describes it, and every way to read them.",
    fact="Devices that answer a search, or that are planned, can be chosen; those that name their type get its list.",
    button="Search the line",
    key="F5",
    will_not="Reads only: writing is locked until you say why it is opened.",
)


class RegistersView(QWidget):
    """Shows a RegistersState."""

    def __init__(self, look: Look, narrow: Narrow, presenter: RegistersPresenter) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._presenter = presenter
        self._shown: RegistersState | None = None
        self.setAccessibleName("Registers")
        self.top = RegistersTop(look, narrow)
        self.top.faces.chosen.connect(self._choose_face)
        self._band = Band(look)
        self._band.pressed.connect(self._band_pressed)
        self._make_cards(look, narrow)
        self.empty = EmptyState(look, EMPTY)
        self._faces = QStackedWidget()
        self._faces.setAccessibleName("registers of one device")
        self._faces.addWidget(self._narrow_face() if narrow is Narrow.YES else self._wide_face())
        self._faces.addWidget(self.empty)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        for one in (self.top, self._band):
            column.addWidget(one)
        column.addWidget(self._faces, 1)
        self._connect(presenter)

    def _make_cards(self, look: Look, narrow: Narrow) -> None:
        presenter = self._presenter
        self.selectors = SelectorsCard(look, narrow)
        self.table = PointsTable(look, narrow)
        self._points = Card(look, "")
        self._points.setAccessibleName("points")
        self._points.let_body_reach_edges()
        self._points.body.addWidget(self.table, 1)
        self.readings = ReadingsCard(look, narrow)
        self.write = WriteCard(
            look,
            WriteActs(
                presenter.toggle_lock,
                presenter.unlock,
                self._leave_question,
                presenter.write,
                presenter.put_back,
                presenter.put_back_row,
                self._confirm,
            ),
        )
        self.finder = FinderCard(
            look,
            narrow,
            FinderActs(
                self._act(presenter.bench.look),
                presenter.bench.begin_anew,
                presenter.bench.choose,
                self._act(presenter.bench.take_meaning),
                presenter.bench.shift_as_found,
            ),
        )
        bench = presenter.bench
        acts = DescribeActs(
            bench.change, bench.undo, bench.keep, self._bring_in, bench.choose_export_notation, self._export
        )
        self.describe = DescribeCard(look, narrow, acts)
        correct = bench.correct_list
        brought = BroughtActs(
            self._correct(bench.choose_sheet),
            self._correct(correct(bench.lists.choose_heading)),
            self._correct(correct(bench.lists.choose_notation)),
            self._correct(correct(bench.lists.choose_table)),
            self._correct(correct(bench.lists.choose_column)),
            self._correct(correct(bench.lists.choose_meaning)),
            self._take_list,
            self._leave_question,
        )
        self.brought = BroughtCard(look, narrow, brought)
        learning = LearnActs(bench.change_map, bench.learn, bench.stop_learning, bench.open_span)
        self.learn = LearnCard(look, narrow, learning)
        self.other = OtherCards(look, narrow, presenter, self.refresh)

    def _wide_face(self) -> QWidget:
        look = self._look
        face = QWidget()
        row = QHBoxLayout(face)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px(CARD_GAP))
        left = QVBoxLayout()
        left.setSpacing(look.px(SPACE_S))
        left.addWidget(self.selectors)
        left.addWidget(self._points, 1)
        left.addWidget(self.finder, 1)
        left.addWidget(self.learn, 1)
        left.addWidget(self.brought, 1)
        for one in self.other.faces:
            left.addWidget(one, 1)
        left.addWidget(self.describe)
        cards = QWidget()
        column = QVBoxLayout(cards)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        column.addWidget(self.readings, 1)
        column.addWidget(self.other.outcome, 1)
        column.addWidget(self.write)
        self._side = ColumnArea("every reading, and writing", cards)
        self._side.setFixedWidth(look.px(SIDE_WIDTH))
        row.addLayout(left, 1)
        row.addWidget(self._side)
        return face

    def _narrow_face(self) -> QWidget:
        face = QWidget()
        column = QVBoxLayout(face)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(self._look.px(SPACE_S))
        move, frame = self.other.faces
        cards = (self.selectors, self.other.outcome, move, frame, self.finder, self.learn, self.brought)
        for one in (*cards, self._points, self.describe, self.readings, self.write):
            column.addWidget(one)
        column.addStretch(1)
        return ColumnArea("registers of one device", face)

    def _connect(self, presenter: RegistersPresenter) -> None:
        self.top.switches.clicked.connect(lambda _checked=False: presenter.to_switches())
        self.top.trend.clicked.connect(lambda _checked=False: presenter.to_trend())
        self.top.main.clicked.connect(lambda _checked=False: self._main())
        self.empty.button.clicked.connect(lambda _checked=False: self._main())
        self.selectors.device.activated.connect(presenter.choose_device)
        self.selectors.profile.activated.connect(presenter.choose_profile)
        self.selectors.period.activated.connect(presenter.choose_period)
        self.selectors.shift.chosen.connect(presenter.shift)
        self.selectors.raw_chosen.connect(presenter.choose_raw)
        self.table.row_chosen.connect(presenter.choose_row)
        self.table.opened.connect(lambda _row: presenter.read_point())
        for keys, act in (
            ("Ctrl+U", self._toggle_lock),
            ("Ctrl+T", self._next_face),
            ("Ctrl+Shift+C", self._copy_bytes),
            ("F2", self._show_move),
            ("F4", presenter.to_device),
            ("F7", presenter.to_switches),
            ("Ctrl+Z", presenter.bench.undo),
            ("Ctrl+E", self._export),
        ):
            shortcut = QShortcut(QKeySequence(keys), self)
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
        self.top.show_state(state)
        self._band.show_band(beside_band(state))
        face = EMPTY_FACE if state.is_empty else LIST_FACE
        if not state.is_empty:
            self._show_list(state, before)
        if face != self._faces.currentIndex():
            had_focus = before is not None and self.isAncestorOf(self.focusWidget() or self)
            self._faces.setCurrentIndex(face)
            if had_focus:
                self.first_focus().setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_list(self, state: RegistersState, before: RegistersState | None) -> None:
        self._show_face(state)
        self.selectors.show_state(state)
        if before is None or state.points != before.points:
            self.table.show_points(state.points)
            if self._narrow is Narrow.YES:
                rows = min(max(len(state.points.rows), LEAST_ROWS_NARROW), MOST_ROWS_NARROW)
                self.table.setFixedHeight(self._look.px(TABLE_HEAD + rows * ROW_OF_LONG_TABLE + 2))
        if before is None or state.readings != before.readings:
            self.readings.show_readings(state.readings)
        self.readings.make_short(is_short=state.write.needs_room and self._narrow is Narrow.NO)
        if before is None or state.write != before.write:
            had_question = self.write.reason.hasFocus()
            self.write.show_write(state.write)
            if had_question and state.write.face is WriteFace.OPEN:
                self.other.focus_opened(state.face)

    def _show_face(self, state: RegistersState) -> None:
        is_narrow = self._narrow is Narrow.YES
        brought = state.brought if state.face is RegistersFace.DESCRIBE else None
        has_own = state.face.writes_otherwise
        hides_points = state.face in (RegistersFace.FIND, RegistersFace.LEARN) or brought is not None
        self._points.setVisible(not has_own and (not hides_points or is_narrow))
        self.readings.setVisible(state.face is not RegistersFace.MOVE)
        self.other.show_other(state)
        self.learn.setVisible(state.face is RegistersFace.LEARN)
        if state.face is RegistersFace.LEARN:
            self.learn.show_learn(state.learn)
        self.finder.setVisible(state.face is RegistersFace.FIND)
        self.brought.setVisible(brought is not None)
        if not is_narrow:
            self._side.setVisible(brought is None)  # it is of a point that is not shown either; the list needs the room
        if brought is not None:
            self.brought.show_brought(brought)
        self.describe.setVisible(state.face is RegistersFace.DESCRIBE and brought is None)
        if state.face is RegistersFace.FIND:
            self.finder.show_finder(state.finder)
        if state.face is RegistersFace.DESCRIBE:
            self.describe.show_describe(state.describe)

    def panes(self) -> Sequence[QWidget]:
        """Points, choices, readings, the write box; or the empty page's button."""
        if self._faces.currentIndex() == EMPTY_FACE:
            return (self.empty.button,)
        by_face = {RegistersFace.FIND: self.finder.entry, RegistersFace.LEARN: self.learn.first}
        face = self._presenter.state.face
        first = self.other.first_focus(face, by_face.get(face, self.table))
        if self.brought.isVisible():
            first = self.brought.columns
        beside = self.other.outcome.places if face is RegistersFace.MOVE else self.readings.table
        panes = first, self.selectors.device, beside, self._of_write_box()
        return tuple(one for one in panes if one.isVisibleTo(self))

    def _of_write_box(self) -> QWidget:
        desk = self._presenter.desk
        if desk.is_asking:
            return self.write.reason
        return self.write.second.leave if desk.is_asking_again else self.write.lock

    def first_focus(self) -> QWidget:
        """The points, or the one thing to do."""
        return self.panes()[0]

    # Keys

    def _choose_face(self, index: int) -> None:
        self._presenter.show_face(index)
        self.refresh()

    def _next_face(self) -> None:
        self._presenter.next_face()
        self.refresh()
        is_described = self._presenter.state.face is RegistersFace.DESCRIBE
        (self.describe.words if is_described else self.first_focus()).setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_move(self) -> None:
        """F2: to the guided job that moves a device, and back to the values."""
        if self._presenter.state.face is RegistersFace.MOVE:
            self._presenter.show_face(0)
        else:
            self._presenter.show_move()
        self.refresh()
        self.first_focus().setFocus(Qt.FocusReason.OtherFocusReason)

    def _copy_bytes(self) -> None:
        if self._presenter.state.face is RegistersFace.BYTES:
            self.other.frame.copy_bytes()

    def _bring_in(self) -> None:
        self._presenter.bench.bring_in()
        self.refresh()
        if self._presenter.state.brought is not None:
            self.brought.columns.setFocus(Qt.FocusReason.OtherFocusReason)

    def _take_list(self) -> None:
        self._presenter.bench.take_list()
        self.refresh()
        self.table.setFocus(Qt.FocusReason.OtherFocusReason)

    def _export(self) -> None:
        self._presenter.show_face(list(RegistersFace).index(RegistersFace.DESCRIBE))
        self._presenter.bench.export()
        self.refresh()

    def _correct(self, act: Callable[[int], None]) -> Callable[[int], None]:
        """Correct what a list is taken for; what follows from that is shown at once."""

        def corrected(index: int) -> None:
            act(index)
            self.refresh()

        return corrected

    def _act(self, act: Callable[[str], None]) -> Callable[[str], None]:
        """Do something that is shown at once."""

        def done(text: str) -> None:
            act(text)
            self.refresh()

        return done

    def _main(self) -> None:
        self._presenter.main_action()
        self.refresh()

    def _toggle_lock(self) -> None:
        self._presenter.toggle_lock()
        self.refresh()

    def _confirm(self) -> None:
        self._presenter.confirm()
        self.refresh()

    def _leave(self) -> bool:
        had_list = self.brought.isVisible()
        had_question = self._presenter.leave_question()
        self.refresh()
        if had_list and not self.brought.isVisible():
            self.describe.bring_in.setFocus(Qt.FocusReason.OtherFocusReason)
        return had_question

    def _leave_question(self) -> None:
        self._leave()

    def _band_pressed(self, name: str) -> None:
        if name == BESIDE:
            self._presenter.reading.start_beside()
            self.refresh()
        else:
            self._leave()

    def event(self, event: QEvent) -> bool:
        """Keep Esc for a question: elsewhere it stops the job."""
        if event.type() is QEvent.Type.ShortcutOverride and self._leaves_question(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc leaves a question."""
        if self._leaves_question(event):
            self._leave()
        else:
            super().keyPressEvent(event)

    def _leaves_question(self, event: QEvent) -> bool:
        is_escape = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        return is_escape and self._presenter.has_question

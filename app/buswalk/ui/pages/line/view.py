"""Draws the page Line: the pair, outcomes and cards; or the pane where a port is chosen."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QEvent, QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.line.cable_picture import CableCard
from buswalk.ui.pages.line.exchange_rows import ExchangeRows
from buswalk.ui.pages.line.line_state import ButtonState, LineState, OutcomesState
from buswalk.ui.pages.line.outcome_rows import ALWAYS_SHOWN, SHOWN_WHEN_SEEN
from buswalk.ui.pages.line.ports_pane import PortsPane
from buswalk.ui.pages.line.presenter import LinePresenter
from buswalk.ui.pages.line.side_cards import AdapterCard, HandsCard, HeardCard, TimeCard, show_allowed
from buswalk.ui.pages.page import PORT_CHOICE, Narrow
from buswalk.ui.sizes import CARD_GAP, ROW_OUTCOME, SPACE_S, TABLE_HEAD
from buswalk.ui.table_cells import Column
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import ColumnArea
from buswalk.ui.widgets.page_top import PageTop
from buswalk.ui.widgets.segment import Segment
from buswalk.ui.widgets.table import Table

SIDE_WIDTH = 392
MOST_OUTCOMES = len(ALWAYS_SHOWN) + len(SHOWN_WHEN_SEEN)
EXCHANGES_FROM = 1560
"""Width of the page from which the bytes of an exchange fit beside the cards."""
HANDS_FACE, ADAPTER_FACE = 0, 1
OUTCOME_COLUMNS = (
    Column("", 186),
    Column("Count", 56, is_right=True),
    Column("Share, limit 95 %", 166),
    Column("How the strip shows it", 0),
)


EXCHANGE_COLUMNS = (
    Column("Time", 112),
    Column("Address", 72),
    Column("Asked", 180),
    Column("Outcome", 230),
    Column("Turnaround", 130),
    Column("Bytes as they came", 0),
)


class OutcomeCard(Card):
    """The outcome table."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "")
        self._look = look
        self._narrow = narrow
        self.setAccessibleName("outcomes of the last 60 s")
        self.let_body_reach_edges()
        self.table = Table(look, "outcomes of the last 60 s", OUTCOME_COLUMNS, ROW_OUTCOME)
        self.body.addWidget(self.table, 1)

    def show_outcomes(self, state: OutcomesState) -> None:
        """Show the counts."""
        self.table.rows_model.show_head(0, state.head)
        self.table.show_rows(state.rows)
        if self._narrow is Narrow.YES:
            self.table.setFixedHeight(self._look.px(TABLE_HEAD + ROW_OUTCOME * len(state.rows)) + 2)


class ExchangeTable(Table):
    """The newest exchanges; Space holds the list."""

    held = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__(look, "newest exchanges", EXCHANGE_COLUMNS)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Hold, or let go on."""
        if event.key() == Qt.Key.Key_Space:
            self.held.emit()
        else:
            super().keyPressEvent(event)


class ExchangeCard(Card):
    """The newest exchanges, where there is room for them."""

    def __init__(self, look: Look, exchanges: ExchangeRows) -> None:
        super().__init__(look, "Exchanges, newest first")
        self._exchanges = exchanges
        self.let_body_reach_edges()
        self.table = ExchangeTable(look)
        self.table.held.connect(self._hold)
        self.body.addWidget(self.table, 1)

    def show_newest(self) -> None:
        """Show them."""
        self.show_aside("held: Space lets it go on" if self._exchanges.is_held else "Space holds")
        self.table.show_rows(self._exchanges.rows)

    def _hold(self) -> None:
        self._exchanges.hold()
        self.show_newest()


class SideColumn(QWidget):
    """Cards at the right. A demo line shows its hands; adapter and client behind a word, or below if there is room."""

    def __init__(self, look: Look, narrow: Narrow, presenter: LinePresenter) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._has_hands = self._has_adapter = False
        self._face = HANDS_FACE
        self.adapter = AdapterCard(look, presenter.test_echo)
        self.heard = HeardCard(look, presenter.listen)
        self.hands = HandsCard(look)
        self.time = TimeCard(look)
        self.faces = Segment(look, "cards of a demo line", ("Hands", "Adapter and client"), 28)
        self.faces.chosen.connect(self._choose_face)
        self.adapter.noted.connect(presenter.note_switches)
        self.hands.chosen.connect(presenter.hands.choose)
        self.hands.used.connect(presenter.hands.use)
        self.hands.fan_pressed.connect(presenter.hands.switch_fan)
        self.hands.battery_pressed.connect(presenter.hands.switch_battery)
        self.time.chosen.connect(presenter.hands.set_factor)
        self.time.keep_pressed.connect(presenter.demo_record.keep)
        self.setAccessibleName("cards of the line")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(CARD_GAP))
        for one in (self.faces, self.hands, self.time, self.heard, self.adapter):
            column.addWidget(one)
        column.addStretch(1)

    def show_line(self, state: LineState) -> None:
        """Show all cards there are."""
        self._has_hands = state.hands is not None
        if state.hands is not None:
            self.hands.show_hands(state.hands)
            self.time.show_time(state.hands)
            self.time.show_record(state.demo_record)
        if state.adapter is not None:
            self.adapter.show_adapter(state.adapter)
        self.heard.show_heard(state.heard)
        self._has_adapter = state.adapter is not None
        self._choose_shown()

    def _choose_face(self, index: int) -> None:
        self._face = index
        self._choose_shown()

    def _choose_shown(self) -> None:
        has_room = self._narrow is Narrow.YES or self._room() >= self._needed_height()
        is_choice = self._has_hands and not has_room
        shows_hands = self._has_hands and (has_room or self._face == HANDS_FACE)
        shows_adapter = not self._has_hands or has_room or self._face == ADAPTER_FACE
        for widget, is_shown in (
            (self.faces, is_choice),
            (self.hands, shows_hands),
            (self.time, shows_hands),
            (self.heard, shows_adapter),
            (self.adapter, shows_adapter and self._has_adapter),
        ):
            if widget.isVisibleTo(self) != is_shown:
                widget.setVisible(is_shown)

    def heightForWidth(self, width: int) -> int:
        """Return what the cards need at least: a scroll bar comes only when that is not there."""
        layout = self.layout()
        return layout.totalMinimumHeightForWidth(width) if layout is not None else -1

    def minimumSizeHint(self) -> QSize:
        """Leave the height to the width: Qt's own guess takes every text for broken into many lines."""
        return QSize(super().minimumSizeHint().width(), 0)

    def _room(self) -> int:
        """Return how high the room is that the cards scroll in."""
        room = self.parentWidget()
        return room.height() if room is not None else self.height()

    def _needed_height(self) -> int:
        """Return how high all cards of a demo line are, one under the other."""
        cards = (self.hands, self.time, self.heard, self.adapter)
        needed = sum(max(card.sizeHint().height(), card.heightForWidth(self.width())) for card in cards)
        return needed + (len(cards) - 1) * self._look.px(CARD_GAP)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show what there is room for."""
        super().resizeEvent(event)
        self._choose_shown()


class LineView(QWidget):
    """Shows a LineState."""

    def __init__(self, look: Look, narrow: Narrow, presenter: LinePresenter) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._presenter = presenter
        self._shown: LineState | None = None
        self.setAccessibleName("Line")
        self.port = Button(look, "Open port…")
        self.main = Button(look, "Search", ButtonWeight.MAIN, "F5")
        self.port.clicked.connect(lambda _checked=False: presenter.port_button())
        self.main.clicked.connect(lambda _checked=False: presenter.main_action())
        self._top = PageTop(look, narrow, "Line", (self.port, self.main))
        self.cable = CableCard(look, narrow)
        self.cable.picture.opened.connect(presenter.show_plan)
        self.outcomes = OutcomeCard(look, narrow)
        self.exchanges = ExchangeCard(look, presenter.exchanges)
        self.exchanges.hide()
        self.side = SideColumn(look, narrow, presenter)
        self.ports = PortsPane(look, narrow)
        self.ports.table.setObjectName(PORT_CHOICE)
        self.ports.row_chosen.connect(presenter.choose_row)
        self.ports.written.connect(presenter.write_form)
        self.ports.open_wanted.connect(presenter.open_port)
        self._faces = QStackedWidget()
        self._faces.setAccessibleName("line or ports")
        self._faces.addWidget(self._line_face(look, narrow))
        self._faces.addWidget(_in_area("ports", self.ports) if narrow is Narrow.YES else self.ports)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        column.addWidget(self._top)
        column.addWidget(self._faces, 1)

    def _line_face(self, look: Look, narrow: Narrow) -> QWidget:
        face = QWidget()
        column = QVBoxLayout(face)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(CARD_GAP))
        column.addWidget(self.cable)
        if narrow is Narrow.YES:
            column.addWidget(self.outcomes)
            column.addWidget(self.side)
            column.addStretch(1)
            return _in_area("the line", face)
        row = QHBoxLayout()
        row.setSpacing(look.px(CARD_GAP))
        left = QVBoxLayout()
        left.setSpacing(look.px(CARD_GAP))
        left.addWidget(self.outcomes, 1)
        left.addWidget(self.exchanges, 1)
        row.addLayout(left, 1)
        area = _in_area("cards of the line", self.side)
        area.setFixedWidth(look.px(SIDE_WIDTH))
        row.addWidget(area)
        column.addLayout(row, 1)
        return face

    # What the shell asks for

    def widget(self) -> QWidget:
        """Itself."""
        return self

    def refresh(self) -> None:
        """Draw what has changed."""
        state = self._presenter.state
        if self.exchanges.isVisibleTo(self):
            self.exchanges.show_newest()
        if state == self._shown:
            return
        had_ports = self._shown is not None and self._shown.ports is not None
        self._shown = state
        self._top.show_sentence(state.sentence, state.tone)
        _show_button(self.main, state.main)
        self.main.show_weight(ButtonWeight.MAIN if state.is_main_solid else ButtonWeight.NORMAL)
        _show_button(self.port, state.port)
        if state.ports is not None:
            self.ports.show_ports(state.ports)
        self.cable.show_cable(state.cable)
        self.outcomes.show_outcomes(state.outcomes)
        self.side.show_line(state)
        self._show_face(is_choosing=state.ports is not None, had_ports=had_ports)

    def _show_face(self, *, is_choosing: bool, had_ports: bool) -> None:
        self._faces.setCurrentIndex(1 if is_choosing else 0)
        if is_choosing and not had_ports:
            self.ports.table.setFocus(Qt.FocusReason.OtherFocusReason)
        if had_ports and not is_choosing:
            self.main.setFocus(Qt.FocusReason.OtherFocusReason)

    def panes(self) -> Sequence[QWidget]:
        """Ports while they are chosen; else main button, cable, outcomes, first card."""
        if self._shown is not None and self._shown.ports is not None:
            return self.ports.table, self.ports.port
        first = self.side.hands.place if self.side.hands.isVisibleTo(self) else self.side.heard.listen
        return self.cable.picture, self.outcomes.table, first

    def first_focus(self) -> QWidget:
        """The main button, or the list of ports."""
        if self._shown is not None and self._shown.ports is not None:
            return self.ports.table
        return self.main

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show the newest exchanges where there is room below the outcomes."""
        super().resizeEvent(event)
        look = self._look
        high = look.px(TABLE_HEAD + ROW_OUTCOME * MOST_OUTCOMES) + 4
        has_room = self.width() >= look.px(EXCHANGES_FROM) and self.height() >= high + look.px(440)
        if has_room and self._narrow is Narrow.NO:
            self.outcomes.setFixedHeight(high)
        self.exchanges.setVisible(has_room and self._narrow is Narrow.NO)

    def event(self, event: QEvent) -> bool:
        """Keep Esc for the pane of ports: elsewhere it stops the job."""
        is_override = event.type() is QEvent.Type.ShortcutOverride and isinstance(event, QKeyEvent)
        if is_override and self._leaves_ports(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc leaves the pane of ports."""
        if self._leaves_ports(event):
            self._presenter.leave_ports()
        else:
            super().keyPressEvent(event)

    def _leaves_ports(self, event: QEvent) -> bool:
        is_escape = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        return is_escape and self._shown is not None and self._shown.ports is not None


def _show_button(button: Button, state: ButtonState) -> None:
    button.setVisible(bool(state.words))
    if state.words:
        button.show_words(state.words, state.key)
        show_allowed(button, state.refused)


def _in_area(name: str, content: QWidget) -> ColumnArea:
    return ColumnArea(name, content)

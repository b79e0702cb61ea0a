"""Draws a SearchState: what is known, the address picture, settings, found devices, what to do next."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.addresses_card import AddressesCard
from buswalk.ui.pages.find.details_view import DetailsView
from buswalk.ui.pages.find.found_card import FoundCard, Room
from buswalk.ui.pages.find.known_band import KnownBand, on_card
from buswalk.ui.pages.find.other_client_view import OtherClientView
from buswalk.ui.pages.find.search_presenter import SearchPresenter
from buswalk.ui.pages.find.search_state import Act, Action, SearchState
from buswalk.ui.pages.find.settings_card import SettingsCard
from buswalk.ui.pages.find.steps_card import StepsCard
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CARD_GAP, WIDE_FROM
from buswalk.ui.widgets.band import Band

LEFT_WIDTH, LEFT_WIDTH_WIDE = 546, 800
RAIL_AND_MARGINS = 180
TIGHT_BELOW = 1180
EXPORT = Action(Act.EXPORT, "Export", "Ctrl+E")


class SearchView(QWidget):
    """One of: the search, another client, the details of an address. Buttons of the page top are the page's."""

    def __init__(self, look: Look, narrow: Narrow, presenter: SearchPresenter) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._presenter = presenter
        self._shown: SearchState | None = None
        self.setAccessibleName("Search")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(CARD_GAP))
        self.band = Band(look)
        self.band.pressed.connect(self._band_pressed)
        column.addWidget(self.band)
        self._stack = QStackedWidget()
        self._stack.setAccessibleName("search")
        column.addWidget(self._stack, 1)
        self._make_parts(look, narrow)
        for part in (self._search, self.other_client, self.details):
            self._stack.addWidget(part)
        self._add_keys()

    def _make_parts(self, look: Look, narrow: Narrow) -> None:
        presenter = self._presenter
        self.known = KnownBand(look, narrow)
        self.known.chosen.connect(self._known_chosen)
        self.known.typed.connect(presenter.type_addresses)
        self.addresses = AddressesCard(look, presenter.spoken_address)
        self.addresses.picture.walked.connect(presenter.focus_address)
        self.addresses.picture.opened.connect(presenter.open_details)
        self.settings = SettingsCard(look)
        self.found = FoundCard(look)
        self.found.chosen.connect(presenter.focus_address)
        self.found.opened.connect(presenter.open_details)
        self.steps = StepsCard(look, presenter.act)
        self.other_client = OtherClientView(look, narrow, presenter.act)
        self.other_client.confirmed.connect(lambda is_confirmed: presenter.confirm(is_confirmed=is_confirmed))
        self.details = DetailsView(look, narrow, presenter.act)
        self.details.closed.connect(presenter.close_details)
        self.details.exchange_chosen.connect(presenter.choose_exchange)
        self._search = self._one_column(look) if narrow is Narrow.YES else self._two_columns(look)

    def _two_columns(self, look: Look) -> QWidget:
        page = QWidget()
        page.setAccessibleName("search")
        outer = QVBoxLayout(page)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(look.px(CARD_GAP - 1))
        outer.addWidget(on_card(look, self.known))
        both = QHBoxLayout()
        both.setSpacing(look.px(CARD_GAP + 2))
        self._left = QWidget()
        self._left.setAccessibleName("addresses and settings")
        left = QVBoxLayout(self._left)
        left.setContentsMargins(0, 0, 0, 0)
        left.setSpacing(look.px(CARD_GAP))
        left.addWidget(self.addresses)
        left.addWidget(self.settings, 1)
        self._left.setFixedWidth(look.px(LEFT_WIDTH))
        right = QVBoxLayout()
        right.setSpacing(look.px(CARD_GAP))
        right.addWidget(self.found, 1)
        right.addWidget(self.steps)
        both.addWidget(self._left)
        both.addLayout(right, 1)
        outer.addLayout(both, 1)
        return page

    def _one_column(self, look: Look) -> QWidget:
        """What was found comes first; before anything is found, what is known."""
        page = QWidget()
        page.setAccessibleName("search")
        self._column = QVBoxLayout(page)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(look.px(CARD_GAP))
        self._known_card = on_card(look, self.known)
        for one in (self._known_card, self.found, self.addresses, self.settings, self.steps):
            self._column.addWidget(one)
        self._column.addStretch(1)
        self._left = page
        return page

    def _add_keys(self) -> None:
        for keys, does in (("Ctrl+E", self._export), ("Ctrl+G", self._go_to_address)):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.activated.connect(does)

    def refresh(self) -> None:
        """Show the presenter's state."""
        state = self._presenter.state
        if state is self._shown:
            return
        had = self._shown
        self._shown = state
        self.band.show_band(state.band)
        if state.details is not None:
            self.details.show_details(state.details)
        elif state.other_client is not None:
            self.other_client.show_other_client(state.other_client)
        else:
            self._show_search(state)
        self._choose_part(state, had)

    def _choose_part(self, state: SearchState, had: SearchState | None) -> None:
        part = self.details if state.details is not None else self._search
        if state.details is None and state.other_client is not None:
            part = self.other_client
        if self._stack.currentWidget() is not part:
            self._stack.setCurrentWidget(part)
            if had is not None and part is self.details:
                self.details.exchanges.setFocus(Qt.FocusReason.OtherFocusReason)
            elif had is not None and had.details is not None and part is self._search:
                target = self.found.table if state.found.chosen >= 0 else self.addresses.picture
                target.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_search(self, state: SearchState) -> None:
        self.known.show_known(state.known, state.side)
        self.addresses.show_addresses(state.addresses)
        self.settings.show_settings(state.settings)
        self.found.show_found(state.found)
        self.steps.show_steps(state.steps)
        if self._narrow is Narrow.YES:
            self._order_column(is_found_first=bool(state.found.rows))

    def _order_column(self, *, is_found_first: bool) -> None:
        self.found.setFixedHeight(self.found.needed_height(self._look))
        wanted = 4 if is_found_first else 0
        if self._column.indexOf(self._known_card) != wanted:
            self._column.removeWidget(self._known_card)
            self._column.insertWidget(wanted, self._known_card)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Larger cells and all columns where there is room."""
        super().resizeEvent(event)
        look = self._look
        if self._narrow is Narrow.YES:
            self.addresses.fit(self.width())
            return
        width = self.width() / look.factor
        room = Room.WIDE if width > WIDE_FROM - RAIL_AND_MARGINS else Room.USUAL if width > TIGHT_BELOW else Room.TIGHT
        left = look.px(LEFT_WIDTH_WIDE if room is Room.WIDE else LEFT_WIDTH)
        self.found.be_as_wide(room)
        self._left.setFixedWidth(left)
        self.addresses.fit(left)

    def panes(self) -> Sequence[QWidget]:
        """Where F6 stops."""
        state = self._shown
        if state is not None and state.details is not None:
            return self.details.back, self.details.exchanges, self.details.bytes_table
        if state is not None and state.other_client is not None:
            return self.other_client.table, self.other_client.tick
        known = () if state is not None and state.known.is_fixed else (self.known.first_choice,)
        found = (self.found.table,) if state is not None and state.found.rows else ()
        return (*known, self.addresses.picture, self.settings.matrix, *found)

    def _known_chosen(self, place: int, index: int) -> None:
        presenter = self._presenter
        choices = (
            presenter.choose_speed,
            presenter.choose_framing,
            presenter.choose_addresses,
            presenter.choose_line_is,
            presenter.choose_depth,
        )
        choices[place](index)

    def _band_pressed(self, name: str) -> None:
        self._presenter.act(Action(Act(name), ""))

    def _export(self) -> None:
        self._presenter.act(EXPORT)

    def _go_to_address(self) -> None:
        self.addresses.begin_going()

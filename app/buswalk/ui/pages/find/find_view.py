"""The widget of the page Find: its top with the segment of views and the buttons, below it the view that is shown."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QApplication, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.action_button import ActionButton
from buswalk.ui.pages.find.find_page import FindPage, FindViews
from buswalk.ui.pages.find.ping_view import PingView
from buswalk.ui.pages.find.quiet_view import QuietView
from buswalk.ui.pages.find.search_state import Action
from buswalk.ui.pages.find.search_view import SearchView
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import SPACE_S
from buswalk.ui.widgets.button import ButtonWeight
from buswalk.ui.widgets.entries import ColumnArea
from buswalk.ui.widgets.page_top import PageTop
from buswalk.ui.widgets.segment import Segment

MOST_OTHERS = 2


class FindView(QWidget):
    """Draws what the page says; holds no state of its own."""

    def __init__(self, look: Look, narrow: Narrow, page: FindPage) -> None:
        super().__init__()
        self._page = page
        self.setAccessibleName("Find")
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        outer.setSpacing(look.px(SPACE_S) - 2)
        self.segment = Segment(look, "view", tuple(one.value for one in FindViews))
        self.segment.chosen.connect(lambda at: self._show(tuple(FindViews)[at]))
        self._others = tuple(ActionButton(look, ButtonWeight.NORMAL, self._act) for _ in range(MOST_OTHERS))
        self.main = ActionButton(look, ButtonWeight.MAIN, self._act)
        self._top = PageTop(look, narrow, "Find", (self.segment, *self._others, self.main))
        self._stack = QStackedWidget()
        self._stack.setAccessibleName("view of Find")
        self.search = SearchView(look, narrow, page.search)
        self.ping = PingView(look, narrow, page.ping)
        self.quiet = QuietView(look, narrow, page.quiet)
        self.quiet.opened.connect(self._ping)
        for one in (self.search, self.ping, self.quiet):
            self._stack.addWidget(ColumnArea(one.accessibleName(), one) if narrow is Narrow.YES else one)
        outer.addWidget(self._top)
        outer.addWidget(self._stack, 1)
        change = QShortcut(QKeySequence("Ctrl+T"), self)
        change.activated.connect(self._change)
        switches = QShortcut(QKeySequence("F7"), self)
        switches.activated.connect(page.to_switches)
        registers = QShortcut(QKeySequence("F4"), self)
        registers.activated.connect(page.to_registers)
        move = QShortcut(QKeySequence("F2"), self)
        move.activated.connect(page.to_move)
        self.refresh()

    def widget(self) -> QWidget:
        """Itself."""
        return self

    def refresh(self) -> None:
        """Draw what has changed; a focus on the main button follows it into the band and back, and to it from a
        button that is gone.
        """
        focused = QApplication.focusWidget()
        is_on_main = focused is not None and (focused is self.main or focused in self.search.band.buttons)
        self._draw()
        first = self.first_focus()
        is_gone = isinstance(focused, ActionButton) and self.isAncestorOf(focused) and not focused.isVisible()
        if (is_on_main or is_gone) and not first.hasFocus():
            first.setFocus(Qt.FocusReason.OtherFocusReason)

    def _draw(self) -> None:
        at = tuple(FindViews).index(self._page.shown)
        self.segment.show_chosen(at)
        self._stack.setCurrentIndex(at)
        match self._page.shown:
            case FindViews.SEARCH:
                search = self._page.search.state
                self.search.refresh()
                has_own_band = search.band is not None and bool(search.band.actions) and search.details is None
                self._show_buttons(search.main, search.others, is_main_in_band=has_own_band)
                self._top.show_sentence(search.sentence, search.sentence_tone)
            case FindViews.PING:
                ping = self._page.ping.state
                self.ping.refresh()
                self._show_buttons(ping.main, ping.others)
                self._top.show_sentence(ping.sentence, ping.sentence_tone)
            case FindViews.WHO_IS_QUIET:
                quiet = self._page.quiet.state
                self.quiet.refresh()
                self._show_buttons(quiet.main, quiet.others)
                self._top.show_sentence(quiet.sentence, quiet.sentence_tone)

    def panes(self) -> Sequence[QWidget]:
        """Where F6 stops."""
        return (self.first_focus(), *self._shown.panes())

    @property
    def _shown(self) -> SearchView | PingView | QuietView:
        """The view that is seen."""
        match self._page.shown:
            case FindViews.SEARCH:
                return self.search
            case FindViews.PING:
                return self.ping
            case FindViews.WHO_IS_QUIET:
                return self.quiet

    def first_focus(self) -> QWidget:
        """The main button, or the segment while it cannot be pressed."""
        in_band = self.search.band.buttons
        if not self.main.isVisibleTo(self) and in_band:
            return in_band[0]
        return self.main if self.main.isEnabled() else self.segment.part(self.segment.index)

    def _show_buttons(self, main: Action, others: tuple[Action, ...], *, is_main_in_band: bool = False) -> None:
        self.main.show_action(None if is_main_in_band else main)
        for at, button in enumerate(self._others):
            button.show_action(others[at] if at < len(others) else None)

    def _act(self, action: Action) -> None:
        match self._page.shown:
            case FindViews.SEARCH:
                self._page.search.act(action)
            case FindViews.PING:
                self._page.ping.act(action)
            case FindViews.WHO_IS_QUIET:
                self._page.quiet.act(action)
        self.refresh()

    def _ping(self, address: int) -> None:
        self._page.show_ping(address)
        self.refresh()

    def _show(self, view: FindViews) -> None:
        self._page.show_view(view)
        self.refresh()

    def _change(self) -> None:
        views = tuple(FindViews)
        self._show(views[(views.index(self._page.shown) + 1) % len(views)])
        self.segment.part(self.segment.index).setFocus(Qt.FocusReason.ShortcutFocusReason)

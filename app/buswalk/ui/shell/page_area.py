"""The room of the page: one view at a time, the mark's line below it, the help over it."""

from __future__ import annotations

from PySide6.QtGui import QColor, QPainter, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.band_state import BandState
from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow, PageName, PageView
from buswalk.ui.shell.help_panel import WIDTH, HelpPanel
from buswalk.ui.shell.mark_bar import MarkBar
from buswalk.ui.shell.shell_presenter import ShellPresenter
from buswalk.ui.sizes import PAGE_MARGIN_BOTTOM, PAGE_MARGIN_SIDE, PAGE_MARGIN_TOP
from buswalk.ui.widgets.band import Band
from buswalk.ui.widgets.page_top import PageTop


class PageArea(QWidget):
    """Makes a view the first time its page is shown, and keeps it until the look changes."""

    def __init__(self, look: Look, narrow: Narrow, presenter: ShellPresenter) -> None:
        super().__init__()
        self._look = look
        self._narrow = narrow
        self._presenter = presenter
        self._views: dict[PageName, PageView] = {}
        self._bands: dict[PageName, Band] = {}
        self._help: HelpPanel | None = None
        self.setAccessibleName("page")
        column = QVBoxLayout(self)
        side = look.px(PAGE_MARGIN_SIDE)
        column.setContentsMargins(side, look.px(PAGE_MARGIN_TOP), side, look.px(PAGE_MARGIN_BOTTOM))
        column.setSpacing(look.px(8))
        self._stack = QStackedWidget()
        self._stack.setAccessibleName("page")
        self.mark_bar = MarkBar(look)
        column.addWidget(self._stack, 1)
        column.addWidget(self.mark_bar)
        self.mark_bar.kept.connect(presenter.end_mark)
        self.mark_bar.kept.connect(lambda _words: self.view.first_focus().setFocus())
        self.show_current()

    @property
    def view(self) -> PageView:
        """The view that is shown."""
        return self._views[self._presenter.current]

    def show_current(self) -> None:
        """Show the view of the current page."""
        name = self._presenter.current
        if name not in self._views:
            view = self._presenter.page.view(self._look, self._narrow)
            self._views[name] = view
            self._stack.addWidget(view.widget())
            top = view.widget().findChild(PageTop)
            if top is not None:
                self._bands[name] = top.band
                top.band.pressed.connect(self._presenter.means.pressed)
        self._stack.setCurrentWidget(self._views[name].widget())
        self.refresh()

    def refresh(self) -> None:
        """Draw what has changed."""
        band = self._bands.get(self._presenter.current)
        if band is not None:
            band.show_band(self.band)
        self.view.refresh()

    @property
    def band(self) -> BandState | None:
        """What the band says now."""
        return self._presenter.means.band

    def open_help(self, title: str, focused_help: str) -> HelpPanel:
        """Open the help over the page."""
        panel = HelpPanel(self._look, title, self._presenter.page.help, focused_help, self._presenter.preferences)
        panel.setParent(self)
        self._help = panel
        self._place_help()
        panel.show()
        panel.raise_()
        panel.first_focus.setFocus()
        return panel

    @property
    def help_is_open(self) -> bool:
        """Whether the help is shown."""
        return self._help is not None

    def close_help(self) -> None:
        """Take the help away."""
        if self._help is not None:
            self._help.hide()
            self._help.deleteLater()
            self._help = None

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Keep the help at the right."""
        super().resizeEvent(event)
        self._place_help()

    def _place_help(self) -> None:
        if self._help is not None:
            width = min(self._look.px(WIDTH), self.width())
            self._help.setGeometry(self.width() - width, 0, width, self.height())

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the ground."""
        QPainter(self).fillRect(self.rect(), QColor(self._look.colours.ground))

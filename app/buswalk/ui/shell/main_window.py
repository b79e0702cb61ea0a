"""The window: head line, strip, rail, page. Places them, routes keys, and makes all anew when the look changes."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QCloseEvent, QKeySequence, QResizeEvent, QShortcut
from PySide6.QtWidgets import QApplication, QGridLayout, QWidget

from buswalk.domain.preferences import Preferences, WindowSize
from buswalk.ui.look import Look
from buswalk.ui.pages.page import PORT_CHOICE, Narrow
from buswalk.ui.palettes import colours_of, qt_palette
from buswalk.ui.shell.head_view import HeadView
from buswalk.ui.shell.page_area import PageArea
from buswalk.ui.shell.panes import chain, next_pane, tab_stops
from buswalk.ui.shell.rail_view import RailForm, RailPlace, RailView
from buswalk.ui.shell.shell_presenter import ShellPresenter
from buswalk.ui.sizes import LOW_BELOW, NARROW_BELOW, RAIL_NOTES_FROM, TEXT
from buswalk.ui.strip.view import StripView
from buswalk.ui.style_sheet import style_sheet
from buswalk.ui.widgets.focus_ring import FocusRing

TICK_MS = 100
LEAST_WIDTH, LEAST_HEIGHT = 880, 480
FIRST_WIDTH, FIRST_HEIGHT = 1366, 768
PROGRAM = "buswalk"


class MainWindow(QWidget):
    """Holds no state but the forms of its parts; everything shown is in the presenter."""

    def __init__(self, presenter: ShellPresenter, system_is_dark: Callable[[], bool]) -> None:
        super().__init__()
        self._presenter = presenter
        self._system_is_dark = system_is_dark
        self._forms = (Narrow.NO, RailForm.WIDE)
        self._is_built = False
        self.setWindowTitle(PROGRAM)
        self.setAccessibleName(PROGRAM)
        self.setMinimumSize(LEAST_WIDTH, LEAST_HEIGHT)
        kept = presenter.preferences.window
        self.resize(*((kept.width, kept.height) if kept is not None else (FIRST_WIDTH, FIRST_HEIGHT)))
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(0)
        self._look = self._wanted_look()
        self._ring = FocusRing(self, self._look)
        self._build()
        presenter.page_changed = self._page_changed
        presenter.port_wanted = self._focus_port
        presenter.mark_wanted = self._begin_mark
        self._add_keys()
        self._timer = QTimer(self)
        self._timer.setInterval(TICK_MS)
        self._timer.timeout.connect(self.draw_now)
        self._timer.start()

    # Building

    def _wanted_look(self) -> Look:
        chosen = self._presenter.preferences
        return Look(colours_of(chosen.palette, system_is_dark=self._system_is_dark()), chosen.text_size)

    def _wanted_forms(self) -> tuple[Narrow, RailForm]:
        width = self.width() / self._look.factor
        height = self.height() / self._look.factor
        if width < NARROW_BELOW:
            return Narrow.YES, RailForm.NARROW
        if width < RAIL_NOTES_FROM:
            return Narrow.NO, RailForm.NO_NOTES
        return Narrow.NO, RailForm.LOW if height < LOW_BELOW else RailForm.WIDE

    def _build(self) -> None:
        """Make every view anew from the presenters' states."""
        focused = self._focused_name()
        while (item := self._grid.takeAt(0)) is not None:
            old = item.widget()
            if old is not None:
                old.hide()
                old.setParent(None)
                old.deleteLater()
        look, presenter = self._look, self._presenter
        self._forms = self._wanted_forms()
        narrow, rail_form = self._forms
        self.setFont(look.regular(TEXT))
        self.setStyleSheet(style_sheet(look))
        self._area = PageArea(look, narrow, presenter)
        self._strip = StripView(look, narrow, presenter.strip)
        self._strip.canvas.opened.connect(presenter.open_exchange)
        self._head = HeadView(look, narrow, presenter.head.state, presenter.stop)
        self._rail = RailView(look, rail_form, self._places(), presenter.go_to)
        for cell in (self._head.port, self._head.held_by):
            cell.clicked.connect(lambda _checked=False: self._focus_line_page())
        self._head.job.clicked.connect(lambda _checked=False: self._focus_page_of_job())
        self._grid.addWidget(self._head, 0, 0, 1, 2)
        self._grid.addWidget(self._strip, 1, 0, 1, 2)
        self._grid.addWidget(self._rail, 2, 0)
        self._grid.addWidget(self._area, 2, 1)
        self._grid.setRowStretch(2, 1)
        self._grid.setColumnStretch(1, 1)
        self._ring.take_look(look)
        self._fit_strip()
        self._is_built = True
        self._refresh()
        self._chain()
        self._focus_again(focused)

    def _places(self) -> tuple[RailPlace, ...]:
        return tuple(RailPlace(name, page.note) for name, page in self._presenter.pages.items())

    def _chain(self) -> None:
        """Tab goes through the page, then strip, head line, rail."""
        chain(
            [
                *tab_stops(self._area),
                self._strip.canvas,
                *tab_stops(self._head),
                *tab_stops(self._rail),
            ]
        )

    def _fit_strip(self) -> None:
        self._strip.be_low(is_low=self.height() / self._look.factor < LOW_BELOW)

    def _focused_name(self) -> str:
        focused = QApplication.focusWidget()
        return focused.accessibleName() if focused is not None and self.isAncestorOf(focused) else ""

    def _focus_again(self, name: str) -> None:
        """Give the focus back to the widget of this name; to the page's first one where there is none."""
        same = [one for one in self.findChildren(QWidget) if name and one.accessibleName() == name]
        stops = [one for one in same if one.focusPolicy() & Qt.FocusPolicy.TabFocus]
        (stops[0] if stops else self._area.view.first_focus()).setFocus(Qt.FocusReason.OtherFocusReason)

    def look_anew(self) -> None:
        """Take palette and text size from preferences and system."""
        wanted = self._wanted_look()
        if wanted == self._look:
            return
        self._look = wanted
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.setPalette(qt_palette(wanted.colours))
        self._build()

    # Drawing

    def draw_now(self) -> None:
        """Let a tenth of a second pass, and draw."""
        self._presenter.tick()
        self._refresh()

    def _refresh(self) -> None:
        self._head.show_state(self._presenter.head.state)
        self._strip.refresh()
        self._rail.show_places(self._places(), self._presenter.current)
        self._area.refresh()

    def _page_changed(self) -> None:
        self._area.close_help()
        self._area.show_current()
        self._rail.show_places(self._places(), self._presenter.current)
        self._chain()
        self._area.view.first_focus().setFocus(Qt.FocusReason.OtherFocusReason)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Take other forms where the window has become narrow, low, or wide again."""
        super().resizeEvent(event)
        if self._is_built:
            if self._wanted_forms() != self._forms:
                self._build()
            else:
                self._fit_strip()

    def closeEvent(self, event: QCloseEvent) -> None:
        """Draw no more; keep the size for the next start."""
        self._timer.stop()
        size = WindowSize(self.width(), self.height())
        if not self.isFullScreen() and size != self._presenter.preferences.window:
            self._presenter.prefer(replace(self._presenter.preferences, window=size))
        super().closeEvent(event)

    # Keys

    def _add_keys(self) -> None:
        presenter = self._presenter
        for digit in range(10):
            self._key(f"Ctrl+{digit}", partial(presenter.go_to_digit, digit))
        self._key("F5", presenter.main_action)
        self._key("Esc", self._escape)
        self._key("F6", lambda: self._go_pane(1))
        self._key("Shift+F6", lambda: self._go_pane(-1))
        self._key("F8", partial(presenter.walk_abnormal, 1))
        self._key("Shift+F8", partial(presenter.walk_abnormal, -1))
        self._key("F1", self._toggle_help)
        for keys in ("Ctrl++", "Ctrl+="):
            self._key(keys, lambda: self._resize_text(is_larger=True))
        self._key("Ctrl+-", lambda: self._resize_text(is_larger=False))
        self._key("F11", self._toggle_full_screen)
        self._key("Ctrl+Q", self.close)
        self._key("Ctrl+O", self._focus_line_page)
        for keys in ("Ctrl+M", "Ctrl+Shift+M"):
            self._key(keys, self._begin_mark)

    def _key(self, keys: str, does: Callable[[], object]) -> None:
        shortcut = QShortcut(QKeySequence(keys), self)
        shortcut.setAutoRepeat(False)
        shortcut.activated.connect(does)

    def _begin_mark(self) -> None:
        self._area.mark_bar.begin(self._presenter.begin_mark())

    def _escape(self) -> None:
        """Close what is open; else stop the job."""
        if self._area.mark_bar.isVisible():
            self._area.mark_bar.hide()
            self._area.view.first_focus().setFocus()
        elif self._area.help_is_open:
            self._toggle_help()
        else:
            self._presenter.stop()

    def _go_pane(self, step: int) -> None:
        rail = self._rail.item(self._presenter.current)
        panes = [self._head.port, self._strip.canvas, *self._area.view.panes(), rail]
        focused = QApplication.focusWidget()
        if focused is not None and self._rail.isAncestorOf(focused):
            focused = rail
        if focused is not None and self._head.isAncestorOf(focused):
            focused = self._head.port
        next_pane(panes, focused, step).setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _toggle_help(self) -> None:
        if self._area.help_is_open:
            self._area.close_help()
            self._area.view.first_focus().setFocus()
            return
        focused = QApplication.focusWidget()
        words = ""
        if focused is not None and focused.accessibleName():
            more = focused.accessibleDescription()
            words = f"In focus: {focused.accessibleName()}" + (f", {more}." if more else ".")
        panel = self._area.open_help(self._presenter.current.word, words)
        panel.preferred.connect(self._prefer)
        panel.closed.connect(self._toggle_help)

    def _prefer(self, preferences: Preferences) -> None:
        self._presenter.prefer(preferences)
        before = self._look
        self.look_anew()
        if self._look != before:
            self._toggle_help()

    def _resize_text(self, *, is_larger: bool) -> None:
        now = self._presenter.preferences
        size = now.text_size.larger if is_larger else now.text_size.smaller
        if size is not now.text_size:
            self._presenter.prefer(replace(now, text_size=size))
            self.look_anew()

    def _toggle_full_screen(self) -> None:
        if self.isFullScreen():
            self.showNormal()
        else:
            self.showFullScreen()

    # From head line and bands

    def _focus_line_page(self) -> None:
        self._presenter.choose_port()

    def _focus_page_of_job(self) -> None:
        self._presenter.go_to_job()

    def _focus_port(self) -> None:
        choice = self._area.view.widget().findChild(QWidget, PORT_CHOICE)
        if isinstance(choice, QWidget):
            choice.setFocus(Qt.FocusReason.ShortcutFocusReason)

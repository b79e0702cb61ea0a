"""Opens the window with the parts it is handed, and returns when it is closed. Nothing heavy is imported here."""

from __future__ import annotations

import signal
from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication

from buswalk.bus.messages import Command
from buswalk.domain.preferences import Preferences
from buswalk.ui.live.feed import Feed
from buswalk.ui.palettes import colours_of, qt_palette
from buswalk.ui.shell.main_window import PROGRAM, MainWindow
from buswalk.ui.shell.shell_presenter import KeepsPreferences, MakesPages, ShellPresenter
from buswalk.ui.sounds import Sounds


@dataclass(frozen=True, slots=True)
class WindowParts:
    """What the window works with; it opens no line, record or file itself.

    Attributes:
        feed: The ways to and from the bus process.
        first_commands: Sent once the window is there: the port to open.
        real_now_s: A clock that never jumps, real time.
        opening_sentences: What the last start left to say: a killed window, damaged preferences.
        shown: Called once when the window is visible: imports that would delay it can begin now.
    """

    feed: Feed
    make_pages: MakesPages
    preferences: Preferences
    keep_preferences: KeepsPreferences
    sounds: Sounds
    real_now_s: Callable[[], float]
    first_commands: tuple[Command, ...] = ()
    opening_sentences: tuple[str, ...] = ()
    shown: Callable[[], None] = lambda: None


def run_window(parts: WindowParts) -> int:
    """Show the window until it is closed; return Qt's exit status. The feed is closed, not the processes behind it."""
    application = QApplication([PROGRAM])
    application.setStyle("Fusion")
    application.setApplicationDisplayName(PROGRAM)
    window = open_window(application, parts)
    for number in (signal.SIGINT, signal.SIGTERM):
        # Ctrl-C in the terminal, or the end of a login, closes the window in order; the next tick sees it.
        signal.signal(number, lambda _number, _frame: window.close())
    window.show()
    parts.feed.start()
    parts.shown()
    status = application.exec()
    parts.feed.close()
    return status


def open_window(application: QApplication, parts: WindowParts) -> MainWindow:
    """Make the window and join it to the feed; it is not shown yet."""
    hints = application.styleHints()

    def system_is_dark() -> bool:
        return hints.colorScheme() is Qt.ColorScheme.Dark

    colours = colours_of(parts.preferences.palette, system_is_dark=system_is_dark())
    application.setPalette(qt_palette(colours))
    presenter = ShellPresenter(
        parts.feed.commands,
        parts.make_pages,
        (parts.preferences, parts.keep_preferences),
        parts.sounds,
        parts.real_now_s,
    )
    presenter.means.say_at_start(parts.opening_sentences)
    window = MainWindow(presenter, system_is_dark)
    hints.colorSchemeChanged.connect(window.look_anew)
    parts.feed.connect_batches(presenter.take_batch)
    parts.feed.connect_process_news(presenter.take_process)
    for command in parts.first_commands:
        presenter.commands.send(command)
    return window

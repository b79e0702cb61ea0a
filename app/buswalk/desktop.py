"""Starts the window with its two other processes, hands down what it needs, and ends them with it."""

from __future__ import annotations

import importlib
import os
import sys
import tempfile
import threading
import time
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TextIO

from buswalk.bus.analysis_link import AnalysisLink
from buswalk.bus.bus_link import BusLink, LinkTold
from buswalk.bus.messages import Batch, OpenPort
from buswalk.cli.exit_status import ExitStatus
from buswalk.desktop_options import DesktopChoice, desktop_choice
from buswalk.processes import BusChoice, analysis_process, bus_process
from buswalk.storage.data_folders import data_folders
from buswalk.storage.preferences import keep_preferences, read_preferences
from buswalk.system_sounds import SystemSounds
from buswalk.ui.display import NO_DISPLAY, has_display
from buswalk.ui.live.feed import BatchQueue, ProcessSaid

LATER = (
    "buswalk.ui.pages.find.find_view",
    "buswalk.ui.pages.switches.view",
    "buswalk.storage.board_files",
    "buswalk.storage.planned_list_files",
    "buswalk.storage.profile_files",
    "pyqtgraph",
)
"""In the order in which a first user comes to them."""
NO_WIDGETS = (
    "the window cannot be opened ({reason}): install the system libraries that are missing, or use the command line, "
    "such as 'find --port demo:greenhouse-first-day'"
)


def run_desktop(arguments: Sequence[str], err: TextIO, when_shown: Callable[[], None] = lambda: None) -> int:
    """Open the window; return the exit status when it is closed. `when_shown` is called once it is visible.

    Raises:
        WrongUse: The options cannot be.
    """
    choice = desktop_choice(arguments)
    if not has_display(os.environ, sys.platform):
        err.write(f"{NO_DISPLAY}\n")
        return int(ExitStatus.NO_LINE)
    batches = BatchQueue()
    told: list[ProcessSaid] = []
    # The line is opened while Qt is still being imported; who reads records starts when the window is there.
    chosen = BusChoice(choice.pace, choice.data_folder)
    bus = BusLink(bus_process(chosen), batches.offer, _teller(told, ends_job=True), time.monotonic)
    analysis = AnalysisLink(analysis_process(), _teller(told, ends_job=False), time.monotonic)
    try:
        return _window(choice, (bus, analysis), (batches, told), when_shown)
    except ImportError as reason:
        err.write(f"{NO_WIDGETS.format(reason=reason)}\n")
        return int(ExitStatus.NO_LINE)
    finally:
        bus.close()
        analysis.close()


def _teller(told: list[ProcessSaid], *, ends_job: bool) -> Callable[[LinkTold], None]:
    def tell(news: LinkTold) -> None:
        told.append(ProcessSaid(news.sentence, is_over=not news.is_running, ends_job=ends_job))

    return tell


def _window(
    choice: DesktopChoice,
    links: tuple[BusLink, AnalysisLink],
    came: tuple[BatchQueue, list[ProcessSaid]],
    when_shown: Callable[[], None],
) -> int:
    """Import Qt, build the parts of the window, and show it until it is closed."""
    from buswalk.ui.desktop import WindowParts, run_window
    from buswalk.ui.live.queued_feed import QueuedFeed
    from buswalk.window_pages import WindowPages

    (bus, analysis), (batches, told) = links, came
    folders = data_folders(choice.data_folder, os.environ)
    read = read_preferences(folders.preferences_file)
    feed = QueuedFeed(bus, batches)
    tones = tempfile.TemporaryDirectory(prefix="buswalk-", ignore_cleanup_errors=True)
    sounds = SystemSounds(Path(tones.name))
    later = LaterImports()
    pages = WindowPages(analysis, sounds, choice.data_folder, later.are_done)

    def deliver(batch: Batch) -> None:
        pages.take(batch)
        pages.record.read_back(batch, batches.offer)
        analysis.deliver()
        while told:
            feed.say(told.pop(0))

    def shown() -> None:
        analysis.start()
        later.start()
        when_shown()

    feed.connect_batches(deliver)
    with tones:
        return run_window(
            WindowParts(
                feed=feed,
                make_pages=pages.make,
                preferences=read.preferences,
                keep_preferences=lambda chosen: keep_preferences(folders.preferences_file, chosen),
                sounds=sounds,
                real_now_s=time.monotonic,
                first_commands=(OpenPort(choice.port, choice.settings, choice.options),),
                opening_sentences=read.sentences,
                shown=shown,
            )
        )


class LaterImports:
    """What pages and plots need later is imported beside the shown window: in place it would hold it up.

    Two threads must not import the same library: until all is there, the window goes on without it.
    """

    def __init__(self) -> None:
        self._thread = threading.Thread(target=self._import_all, daemon=True)
        self._are_done = False

    def start(self) -> None:
        """Begin."""
        self._thread.start()

    def are_done(self) -> bool:
        """Whether all is imported."""
        return self._are_done

    def _import_all(self) -> None:
        for name in LATER:
            importlib.import_module(name)
        self._are_done = True

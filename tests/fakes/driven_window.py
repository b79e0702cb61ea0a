"""The real window with its real processes, offscreen, driven by keys; prints what can be read on it. Run as a script.

Arguments: the data folder, then steps: `key F5`, `until WORDS` (waits until they stand on the screen), `read`,
`kill line`, `kill record`, `close`.
"""

from __future__ import annotations

import json
import multiprocessing
import sys
import time
from collections.abc import Iterator

from PySide6.QtCore import Qt, QTimer
from PySide6.QtGui import QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel, QTableView, QWidget

from buswalk.desktop import run_desktop

LOOK_MS = 150
WITHIN_S = 60.0


def texts(window: QWidget) -> Iterator[str]:
    """Everything that can be read: labels, buttons, tables, names of drawn parts."""
    for widget in [window, *window.findChildren(QWidget)]:
        if not widget.isVisible():
            continue
        if isinstance(widget, QLabel | QAbstractButton):
            yield widget.text()
        if isinstance(widget, QTableView) and widget.model() is not None:
            model = widget.model()
            for row in range(min(model.rowCount(), 300)):
                cells = [str(model.data(model.index(row, place)) or "") for place in range(model.columnCount())]
                yield " | ".join(cells)
        yield widget.accessibleName()
        yield widget.accessibleDescription()


def kill(which: str) -> None:
    """Kill the process that holds the `line`, or the one that reads the `record`."""
    name = "hold_line" if which == "line" else "read_records"
    (process,) = [one for one in multiprocessing.active_children() if one.name == name]
    process.kill()


class Driver:
    """Does one step after the other in the event loop."""

    def __init__(self, steps: list[str]) -> None:
        self._steps = steps
        self._give_up_s = 0.0
        self._window: QWidget | None = None

    def begin(self) -> None:
        """Called when the window is visible."""
        (self._window,) = [one for one in QApplication.topLevelWidgets() if one.windowTitle() == "buswalk"]
        QTimer.singleShot(LOOK_MS, self._go_on)

    def _go_on(self) -> None:
        window = self._window
        if window is None or not self._steps:
            return
        word, _, rest = self._steps[0].partition(" ")
        if word == "until" and not self._is_there(window, rest):
            QTimer.singleShot(LOOK_MS, self._go_on)
            return
        self._steps.pop(0)
        self._give_up_s = 0.0
        if word == "key":
            QTest.keySequence(QApplication.focusWidget() or window, QKeySequence(rest))
        elif word == "read":
            print(json.dumps([one for one in texts(window) if one]), flush=True)
        elif word == "kill":
            kill(rest)
        elif word == "close":
            window.close()
        QTimer.singleShot(LOOK_MS, self._go_on)

    def _is_there(self, window: QWidget, words: str) -> bool:
        self._give_up_s = self._give_up_s or time.monotonic() + WITHIN_S
        if any(words in one for one in texts(window)):
            return True
        if time.monotonic() > self._give_up_s:
            print(json.dumps({"never": words, "read": [one for one in texts(window) if one]}), flush=True)
            window.close()
            return True
        return False


def main(folder: str, steps: list[str], options: list[str]) -> int:
    """Open the window and drive it."""
    driver = Driver(steps)
    return run_desktop(["--data-folder", folder, *options], sys.stderr, driver.begin)


if __name__ == "__main__":
    QApplication.setAttribute(Qt.ApplicationAttribute.AA_DontUseNativeDialogs)
    at = sys.argv.index("--") if "--" in sys.argv else len(sys.argv)
    sys.exit(main(sys.argv[1], sys.argv[2:at], sys.argv[at + 1 :]))

"""The real window with its real processes, offscreen; measures itself and prints one JSON object. Run as a script.

Arguments: the data folder, the moment of its start (seconds since 1970), seconds of idling, seconds of searching.
"""

from __future__ import annotations

import json
import sys
import time

from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from buswalk.desktop import run_desktop

BEAT_MS = 10
SETTLES_S = 2.0
"""What a first start still imports and draws is not counted."""


class Heart:
    """Beats every 10 ms in the event loop and notes how late each beat is, in seconds."""

    def __init__(self) -> None:
        self.late_s: list[float] = []
        self._due_s = time.perf_counter() + BEAT_MS / 1000.0
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._beat)
        self._timer.start(BEAT_MS)

    def _beat(self) -> None:
        now_s = time.perf_counter()
        self.late_s.append(max(0.0, now_s - self._due_s))
        self._due_s = now_s + BEAT_MS / 1000.0
        self._timer.start(BEAT_MS)

    def take(self) -> list[float]:
        """Return the beats since the last look."""
        taken, self.late_s = self.late_s, []
        return taken


def main(folder: str, started_s: float, idle_s: float, search_s: float) -> int:
    """Open the window, idle, search, close it."""
    seen: dict[str, object] = {}

    def when_shown() -> None:
        QApplication.processEvents()
        seen["visible_s"] = time.time() - started_s
        heart = Heart()
        seen["heart"] = heart
        after = [SETTLES_S, idle_s, search_s]
        QTimer.singleShot(round(after[0] * 1000), heart.take)
        QTimer.singleShot(round(sum(after[:2]) * 1000), lambda: search(heart))
        QTimer.singleShot(round(sum(after) * 1000), lambda: end(heart))

    def search(heart: Heart) -> None:
        seen["idle"] = heart.take()
        window = QApplication.activeWindow() or QApplication.topLevelWidgets()[0]
        QTest.keyClick(window, Qt.Key.Key_F5)

    def end(heart: Heart) -> None:
        seen["search"] = heart.take()
        QApplication.quit()

    status = run_desktop(["--data-folder", folder], sys.stderr, when_shown)
    seen.pop("heart", None)
    print(json.dumps(seen))
    return status


if __name__ == "__main__":
    sys.exit(main(sys.argv[1], float(sys.argv[2]), float(sys.argv[3]), float(sys.argv[4])))

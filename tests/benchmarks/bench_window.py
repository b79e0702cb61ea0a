"""How soon the window is there, and how late its event loop is while a search draws at ten times real speed."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from tests.benchmarks.figure import Figure
from tests.fakes.served_line import CHECKOUT, environment

IDLE_S = 5.0
SEARCH_S = 30.0
SHARE = 0.999
SCRIPT = CHECKOUT / "tests" / "fakes" / "watched_window.py"


def figures() -> Iterator[Figure]:
    """Start it twice: the second start is the one that counts, as its files are warm."""
    with tempfile.TemporaryDirectory() as folder:
        _watched(folder, 0.5, 0.5)
        seen = _watched(folder, IDLE_S, SEARCH_S)
    idle, busy = _quantile(seen["idle"]), _quantile(seen["search"])
    yield Figure("window", "window_visible_s", seen["visible_s"], "s")
    yield Figure("window", "heartbeat_late_p999_s", busy, "s", peer="idle window", peer_value=idle)


def _watched(folder: str, idle_s: float, search_s: float) -> dict[str, Any]:
    paths = os.pathsep.join(str(CHECKOUT / one) for one in ("app", "simulators", "."))
    done = subprocess.run(
        [sys.executable, str(SCRIPT), str(Path(folder)), repr(time.time()), str(idle_s), str(search_s)],
        capture_output=True,
        text=True,
        timeout=120,
        env=environment() | {"PYTHONPATH": paths, "QT_QPA_PLATFORM": "offscreen"},
        check=True,
    )
    seen: dict[str, Any] = json.loads(done.stdout.splitlines()[-1])
    return seen


def _quantile(late_s: list[float]) -> float:
    return sorted(late_s)[min(len(late_s) - 1, int(len(late_s) * SHARE))]

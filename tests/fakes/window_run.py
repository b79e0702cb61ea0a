"""Runs the driven window in a process of its own and returns what could be read at each `read`."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

from tests.fakes.served_line import CHECKOUT, environment

SCRIPT = CHECKOUT / "tests" / "fakes" / "driven_window.py"
LONGEST_S = 120.0


def window_run(folder: Path, *steps: str, options: tuple[str, ...] = ()) -> list[list[str]]:
    """Drive the window; an `until` that never came true fails with what was on the screen instead."""
    paths = os.pathsep.join(str(CHECKOUT / one) for one in ("app", "simulators", "."))
    done = subprocess.run(
        [sys.executable, str(SCRIPT), str(folder), *steps, "close", "--", *options],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=LONGEST_S,
        env=environment() | {"PYTHONPATH": paths, "QT_QPA_PLATFORM": "offscreen", "PYTHONIOENCODING": "utf-8"},
        check=False,
    )
    screens = [json.loads(line) for line in done.stdout.splitlines()]
    never = [one for one in screens if isinstance(one, dict)]
    assert not never, never
    assert done.returncode == 0, done.stderr
    assert "Traceback" not in done.stderr, done.stderr
    return screens


def stands(screen: list[str], words: str) -> bool:
    """Tell whether words can be read somewhere on a screen."""
    return any(words in one for one in screen)

"""Presenters are plain Python: importing every one of them brings no Qt into a fresh process."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

UI = Path(__file__).resolve().parents[2] / "app" / "buswalk" / "ui"
PLAIN = ("presenter", "words", "state", "slots", "history", "panel", "unasked", "placing", "watch", "clock", "commands")
DRAWS = ("help_panel", "empty_state")


def presenter_modules() -> list[str]:
    """Return the modules that are told to be plain by their names, and the values they are made of."""
    named = [
        one
        for one in UI.rglob("*.py")
        if one.stem.split("_")[-1] in PLAIN and one.stem not in DRAWS and one.parent.name != "widgets"
    ]
    plain = [UI / f"{name}.py" for name in ("wording", "tones", "outcome_kinds", "expected_devices", "sizes")]
    plain += [UI / "pages" / "page.py", UI / "live" / "feed.py"]
    return [".".join(["buswalk", *one.relative_to(UI.parent).with_suffix("").parts]) for one in named + plain]


def test_no_presenter_imports_qt() -> None:
    modules = presenter_modules()
    assert "buswalk.ui.strip.presenter" in modules
    assert "buswalk.ui.shell.shell_presenter" in modules
    check = f"import sys, importlib; [importlib.import_module(m) for m in {modules!r}]; print('PySide6' in sys.modules)"

    ran = subprocess.run(
        [sys.executable, "-c", check],
        env={"PYTHONPATH": str(UI.parents[1])},
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert (ran.stdout.strip(), ran.stderr) == ("False", "")

"""Whether there is a screen to open a window on, as far as that can be told before Qt ends the process over it."""

from __future__ import annotations

from collections.abc import Mapping

NO_DISPLAY = (
    "there is no screen to open a window on; the command line does the same work: "
    "try 'find --port demo:greenhouse-first-day', or '--help'"
)
_NEEDS_NONE = ("offscreen", "minimal", "vnc", "linuxfb", "eglfs")


def has_display(environment: Mapping[str, str], platform: str) -> bool:
    """Return whether a window can be tried; `platform` as sys.platform says it."""
    if platform.startswith(("win", "darwin", "cygwin")):
        return True
    chosen = environment.get("QT_QPA_PLATFORM", "").split(":")[0]
    return chosen in _NEEDS_NONE or bool(environment.get("DISPLAY") or environment.get("WAYLAND_DISPLAY"))

"""An X server without a screen, and real key and mouse events on it by its test extension (XTEST)."""

from __future__ import annotations

import os
import shutil
import subprocess
import time

from Xlib import XK, X
from Xlib.display import Display
from Xlib.ext import xtest

WITHIN_S = 20.0
SIZE = "1366x768x24"


def is_here() -> bool:
    """Whether the server is installed."""
    return shutil.which("Xvfb") is not None


class VirtualScreen:
    """One server; `name` goes into DISPLAY."""

    def __init__(self) -> None:
        read_end, write_end = os.pipe()
        self._server = subprocess.Popen(
            ["Xvfb", "-displayfd", str(write_end), "-screen", "0", SIZE, "-nolisten", "tcp"],
            pass_fds=(write_end,),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(write_end)
        with os.fdopen(read_end) as told:
            self.name = f":{told.readline().strip()}"
        self._display = Display(self.name)

    def focus(self, title: str) -> None:
        """Wait for a window with that title and give it the keyboard: there is no window manager to do so."""
        give_up_s = time.monotonic() + WITHIN_S
        while time.monotonic() < give_up_s:
            for window in self._display.screen().root.query_tree().children:
                if window.get_wm_name() == title and window.get_attributes().map_state == X.IsViewable:
                    window.set_input_focus(X.RevertToParent, X.CurrentTime)
                    self._display.sync()
                    return
            time.sleep(0.05)
        raise AssertionError(f"no window '{title}' came within {WITHIN_S:.0f} s")

    def key(self, name: str, *, control: bool = False) -> None:
        """Press and release a key, by its X name."""
        code = self._display.keysym_to_keycode(XK.string_to_keysym(name))
        held = [self._display.keysym_to_keycode(XK.string_to_keysym("Control_L"))] if control else []
        for one in (*held, code):
            xtest.fake_input(self._display, X.KeyPress, one)
        for one in (code, *held):
            xtest.fake_input(self._display, X.KeyRelease, one)
        self._display.sync()

    def click(self, x: int, y: int) -> None:
        """Move the mouse there and click."""
        xtest.fake_input(self._display, X.MotionNotify, x=x, y=y)
        for kind in (X.ButtonPress, X.ButtonRelease):
            xtest.fake_input(self._display, kind, 1)
        self._display.sync()

    def close(self) -> None:
        """End the server."""
        self._display.close()
        self._server.terminate()
        self._server.wait(WITHIN_S)

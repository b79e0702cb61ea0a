"""Keeps the computer from going to sleep by itself while a job runs, where the system allows it."""

from __future__ import annotations

import ctypes
import os
import subprocess
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from typing import Protocol

WHY = "buswalk runs a job on the line"
END_WITHIN_S = 1.0
_CONTINUOUS = 0x80000000
_SYSTEM_REQUIRED = 0x00000001
"""ES_CONTINUOUS and ES_SYSTEM_REQUIRED of SetThreadExecutionState (documentation of the Windows interface)."""


class Helper(Protocol):
    """A process that holds the computer awake as long as it lives."""

    def terminate(self) -> None:
        """Let it end."""

    def wait(self, timeout: float) -> int:
        """Wait for its end."""


def helper_command(platform: str, process_id: int) -> tuple[str, ...]:
    """Return the system's own command that keeps it awake; empty where there is none.

    It ends by itself with the process of that number, so that one that is killed leaves no computer awake for ever.
    """
    if platform == "darwin":
        return ("caffeinate", "-i", "-w", str(process_id))
    if platform.startswith("linux"):
        until_we_end = ("tail", f"--pid={process_id}", "-f", "/dev/null")
        return ("systemd-inhibit", "--what=sleep:idle", "--who=buswalk", f"--why={WHY}", *until_we_end)
    return ()


@contextmanager
def stay_awake(platform: str = sys.platform, start: Callable[[Sequence[str]], Helper] | None = None) -> Iterator[None]:
    """Hold the computer awake while entered. Where that cannot be had, nothing happens: the clock is watched anyway."""
    if platform == "win32":
        with _awake_on_windows():
            yield
        return
    helper = _started(helper_command(platform, os.getpid()), start or _start)
    try:
        yield
    finally:
        if helper is not None:
            helper.terminate()
            helper.wait(END_WITHIN_S)


def _started(command: tuple[str, ...], start: Callable[[Sequence[str]], Helper]) -> Helper | None:
    if not command:
        return None
    try:
        return start(command)
    except OSError:
        return None


def _start(command: Sequence[str]) -> Helper:
    nothing = subprocess.DEVNULL
    return subprocess.Popen(command, stdin=nothing, stdout=nothing, stderr=nothing)


@contextmanager
def _awake_on_windows() -> Iterator[None]:
    if sys.platform == "win32":
        ctypes.windll.kernel32.SetThreadExecutionState(_CONTINUOUS | _SYSTEM_REQUIRED)
    try:
        yield
    finally:
        if sys.platform == "win32":
            ctypes.windll.kernel32.SetThreadExecutionState(_CONTINUOUS)

"""A simulated line that another process serves, as a user starts it: ended in any case by `close`."""

from __future__ import annotations

import os
import select
import subprocess
import sys
from pathlib import Path

CHECKOUT = Path(__file__).resolve().parents[2]
START_WITHIN_S = 20.0
END_WITHIN_S = 5.0


def environment() -> dict[str, str]:
    """The environment in which both packages are found."""
    folders = os.pathsep.join(str(CHECKOUT / one) for one in ("app", "simulators"))
    return {**os.environ, "PYTHONPATH": folders}


class ServedLine:
    """`serve ARGUMENTS` in a process of its own; `name` is what to open."""

    def __init__(self, *arguments: str) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-m", "simulated_line.command", "serve", *arguments],
            stdout=subprocess.PIPE,
            env=environment(),
            cwd=CHECKOUT,
        )
        assert self._process.stdout is not None
        if not select.select([self._process.stdout], [], [], START_WITHIN_S)[0]:
            self.close()
            raise AssertionError(f"nothing is served within {START_WITHIN_S:.0f} s")
        self.ready = self._process.stdout.readline().decode().strip()
        if not self.ready.startswith("ready: "):
            self.close()
            raise AssertionError(f"it does not serve, it says '{self.ready}'")

    @property
    def name(self) -> str:
        """What to open."""
        return self.ready.removeprefix("ready: ").split(" ")[0]

    def kill(self) -> None:
        """End it without warning."""
        self._process.kill()
        self._process.wait(END_WITHIN_S)

    def close(self) -> None:
        """End it as Ctrl-C does, or by force."""
        self._process.terminate()
        try:
            self._process.wait(END_WITHIN_S)
        except subprocess.TimeoutExpired:
            self.kill()
        if self._process.stdout is not None:
            self._process.stdout.close()

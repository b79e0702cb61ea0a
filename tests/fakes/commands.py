"""Commands of buswalk and of the simulated line in a process of their own, as users run them."""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from tests.fakes.served_line import CHECKOUT, END_WITHIN_S, environment

LONGEST_S = 60.0


@dataclass(frozen=True, slots=True)
class Ended:
    """What a command left behind."""

    status: int
    out: str
    err: str

    @property
    def events(self) -> list[dict[str, Any]]:
        """Its output as JSON objects, one a line."""
        return [json.loads(line) for line in self.out.splitlines()]


def buswalk(*arguments: str) -> Ended:
    """Run `buswalk ARGUMENTS` to its end."""
    return _ended("buswalk.main", arguments)


def simulators(*arguments: str) -> Ended:
    """Run `simulators ARGUMENTS` to its end."""
    return _ended("simulated_line.command", arguments)


def _ended(module: str, arguments: tuple[str, ...]) -> Ended:
    done = subprocess.run(
        [sys.executable, "-m", module, *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=LONGEST_S,
        env=environment() | {"PYTHONIOENCODING": "utf-8"},
        cwd=CHECKOUT,
        check=False,
    )
    return Ended(done.returncode, done.stdout, done.stderr)


@contextmanager
def running(module: str, *arguments: str) -> Iterator[subprocess.Popen[str]]:
    """Start a module's command and hand its process over; it is ended in any case."""
    process = subprocess.Popen(
        [sys.executable, "-m", module, *arguments],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        encoding="utf-8",
        env=environment() | {"PYTHONIOENCODING": "utf-8"},
        cwd=CHECKOUT,
    )
    try:
        yield process
    finally:
        process.kill()
        process.wait(END_WITHIN_S)
        for stream in (process.stdout, process.stderr):
            if stream is not None:
                stream.close()

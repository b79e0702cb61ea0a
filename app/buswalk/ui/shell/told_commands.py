"""Sends commands, and lets the shell see what was asked: the stream does not say how long a job's wait is."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.messages import Command
from buswalk.ui.live.feed import Commands


class ToldCommands:
    """The way to the bus process that everybody in the window is handed."""

    def __init__(self, commands: Commands, tell: Callable[[Command], None]) -> None:
        self._commands = commands
        self._tell = tell

    def send(self, command: Command) -> int:
        """Tell of the command, then send it."""
        self._tell(command)
        return self._commands.send(command)

    def stop(self) -> None:
        """Stop the job."""
        self._commands.stop()

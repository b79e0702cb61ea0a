"""Begins: the command line if a command word is given, else the window. Imports no more than the one that begins."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Sequence
from typing import TYPE_CHECKING, TextIO

from buswalk.cli.command_words import is_for_command_line
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.parts import WrongUse

if TYPE_CHECKING:
    from buswalk.bus.stop_request import StopRequest


def run(arguments: Sequence[str] | None = None) -> int:
    """Start the command line if a word or a question for help is given, else the window; return the exit status."""
    multiprocessing.freeze_support()
    given = list(sys.argv[1:] if arguments is None else arguments)
    if is_for_command_line(given):
        return command_line(given)
    return desktop(given)


def desktop(options: Sequence[str]) -> int:
    """Open the window; return the exit status when it is closed."""
    from buswalk.desktop import run_desktop

    try:
        return run_desktop(options, sys.stderr)
    except WrongUse as reason:
        sys.stderr.write("\n".join(reason.sentences) + "\n")
        return int(ExitStatus.WRONG_USE)


def command_line(arguments: list[str]) -> int:
    """Run one command on the standard streams; Ctrl-C stops it in order, a closed pipe ends it quietly."""
    from buswalk.bus.stop_request import StopRequest
    from buswalk.cli.command_line import run_command
    from buswalk.command_parts import standard_parts

    stop = StopRequest()
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, lambda _number, _frame: _interrupt(stop))
    try:
        status = run_command(arguments, standard_parts(sys.stdout, sys.stderr, stop))
    except BrokenPipeError:
        status = ExitStatus.DONE
    _let_go(sys.stdout)
    _let_go(sys.stderr)
    return int(status)


def _interrupt(stop: StopRequest) -> None:
    """Stop in order the first time; who insists is obeyed at once."""
    if stop.is_set:
        raise KeyboardInterrupt
    stop.set()


def _let_go(stream: TextIO) -> None:
    """Write out what is left. At exit Python would try again: into nowhere, if the reader is gone or the disk full."""
    try:
        stream.flush()
    except OSError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), stream.fileno())


if __name__ == "__main__":
    sys.exit(run())

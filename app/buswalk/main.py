"""Builds all parts and hands them down. The only place that knows them all."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
from collections.abc import Sequence
from typing import TextIO

from buswalk.bus.job_runner import StopRequest
from buswalk.bus_parts import adapter_words
from buswalk.cli.command_line import COMMAND_WORDS, run_command
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.parts import ListedPort, Parts, PortChoice, ReadyLine, RecordParts, WrongUse
from buswalk.jobs.asking.write_guard import consents_on
from buswalk.lines import Pace, WrongScenario, open_line
from buswalk.storage.saved_text import save_lines
from buswalk.storage.visit_record.reader import open_record
from buswalk.wire.port_list import list_ports

HELP_WORDS = ("-h", "--help", "--version")


def run(arguments: Sequence[str] | None = None) -> int:
    """Start the command line if a word or a question for help is given, else the window; return the exit status."""
    multiprocessing.freeze_support()
    given = list(sys.argv[1:] if arguments is None else arguments)
    has_word = any(one in COMMAND_WORDS or one in HELP_WORDS for one in given)
    if has_word or (given and not given[0].startswith("-")):
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


def standard_parts(out: TextIO, err: TextIO, stop: StopRequest) -> Parts:
    """Return what commands work with: this computer's ports, its network, and simulated lines."""
    records = RecordParts(open_record, save_lines)
    return Parts(open_line=_open, list_ports=_listed, records=records, out=out, err=err, stop=stop)


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


def _open(choice: PortChoice) -> ReadyLine:
    try:
        opened = open_line(
            choice.port, choice.settings, choice.options, Pace.VIRTUAL if choice.is_virtual else Pace.PACED
        )
    except WrongScenario as error:
        raise WrongUse(*error.problems) from error
    # Writing is possible on simulated lines only: there is nothing there to be hurt.
    return ReadyLine(opened.port, opened.line, opened.clock, consents_on(opened.line.traits), opened.open_again)


def _listed() -> tuple[ListedPort, ...]:
    return tuple(ListedPort(one.port, one.words, adapter_words(one.identity)) for one in list_ports())


if __name__ == "__main__":
    sys.exit(run())

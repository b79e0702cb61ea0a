"""Builds all parts and hands them down. The only place that knows them all."""

from __future__ import annotations

import signal
import sys
import threading
from collections.abc import Sequence

from buswalk.bus.job_runner import StopRequest
from buswalk.cli.command_line import COMMAND_WORDS, run_command
from buswalk.cli.parts import ListedPort, Parts, ReadyLine, WrongUse
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.jobs.asking.write_guard import NO_CONSENT, consents_on
from buswalk.lines import OpenedLine, Pace, WrongScenario, open_line, reopen
from buswalk.wire.port_list import AdapterIdentity, list_ports
from buswalk.wire.port_options import PortOptions


def run(arguments: Sequence[str] | None = None) -> int:
    """Start the window, or the command line if a command word or --help is given; return the exit status."""
    given = list(sys.argv[1:] if arguments is None else arguments)
    if given and (given[0] in COMMAND_WORDS or not given[0].startswith("--port")):
        return command_line(given)
    return desktop()


def desktop() -> int:
    """Say that there is no window yet."""
    sys.stdout.write(
        "The window of buswalk is not built yet. The command line is: try 'find --port demo:greenhouse-first-day', "
        "or --help.\n"
    )
    return 0


def command_line(arguments: list[str]) -> int:
    """Run one command on the standard streams; Ctrl-C stops it in order."""
    stop = StopRequest()
    if threading.current_thread() is threading.main_thread():
        signal.signal(signal.SIGINT, lambda _number, _frame: stop.set())
    parts = Parts(
        open_line=_open,
        reopen_line=_reopen,
        list_ports=_listed,
        out=sys.stdout,
        err=sys.stderr,
        stop=stop,
    )
    return int(run_command(arguments, parts))


def _open(port: str, settings: SerialSettings, *, is_virtual: bool) -> ReadyLine:
    try:
        opened = open_line(port, settings, PortOptions(), Pace.VIRTUAL if is_virtual else Pace.PACED)
    except WrongScenario as error:
        raise WrongUse(*error.problems) from error
    return _ready(opened)


def _reopen(lost: ReadyLine, settings: SerialSettings) -> ReadyLine:
    is_simulated = lost.consents != NO_CONSENT
    return _ready(reopen(OpenedLine(lost.port, lost.line, lost.clock, is_simulated), settings, PortOptions()))


def _ready(opened: OpenedLine) -> ReadyLine:
    """Writing is possible on simulated lines only: there is nothing there to be hurt."""
    return ReadyLine(opened.port, opened.line, opened.clock, consents_on(opened.line.traits))


def _listed() -> tuple[ListedPort, ...]:
    return tuple(ListedPort(one.port, one.words, _adapter_words(one.identity)) for one in list_ports())


def _adapter_words(identity: AdapterIdentity) -> str:
    if not identity.vendor_id:
        return "not on USB"
    serial_number = f" no. {identity.serial_number}" if identity.serial_number else " without serial number"
    return f"{identity.vendor_id:04X}:{identity.product_id:04X}{serial_number}"


if __name__ == "__main__":
    sys.exit(run())

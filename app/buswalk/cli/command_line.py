"""All commands in one table, and the edge at which every failure becomes one sentence and an exit status."""

from __future__ import annotations

import argparse
import re
import tempfile
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import NoReturn

from buswalk import __version__
from buswalk.cli import (
    ask,
    faults,
    find,
    learn,
    listen,
    ports,
    profile,
    put_back,
    quiet,
    read,
    readdress,
    record,
    sunspec,
    switches,
    watch,
    write,
)
from buswalk.cli.command_words import COMMAND_WORDS, HELP_WORDS
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, OutputLost, Parts, WrongUse
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_guard import GuardRefusal


@dataclass(frozen=True, slots=True)
class CommandRow:
    """One command: its word, what it does, its options, and how to run it."""

    word: str
    words: str
    add_options: Callable[[argparse.ArgumentParser], None]
    run: Callable[[argparse.Namespace, Parts], ExitStatus]


COMMANDS: tuple[CommandRow, ...] = (
    CommandRow("ports", ports.WORDS, ports.add_options, ports.run),
    CommandRow("ask", ask.WORDS, ask.add_options, ask.run),
    CommandRow("read", read.WORDS, read.add_options, read.run),
    CommandRow("watch", watch.WORDS, watch.add_options, watch.run),
    CommandRow("find", find.WORDS, find.add_options, find.run),
    CommandRow("listen", listen.WORDS, listen.add_options, listen.run),
    CommandRow("quiet", quiet.WORDS, quiet.add_options, quiet.run),
    CommandRow("learn", learn.WORDS, learn.add_options, learn.run),
    CommandRow("sunspec", sunspec.WORDS, sunspec.add_options, sunspec.run),
    CommandRow("record", record.WORDS, record.add_options, record.run),
    CommandRow("faults", faults.WORDS, faults.add_options, faults.run),
    CommandRow("switches", switches.WORDS, switches.add_options, switches.run),
    CommandRow("profile", profile.WORDS, profile.add_options, profile.run),
    CommandRow("write", write.WORDS, write.add_options, write.run),
    CommandRow("put-back", put_back.WORDS, put_back.add_options, put_back.run),
    CommandRow("readdress", readdress.WORDS, readdress.add_options, readdress.run),
)
EXAMPLES = """examples:
  ports                                             the serial ports of this computer
  find   --port demo:greenhouse-first-day           who answers, on a simulated line
  ask    --port /dev/ttyUSB0 --address 37 --register 0 --quantity 2
  read   --port demo:greenhouse --address 21 --profile air-transmitter
  watch  --port demo:greenhouse --address 21 --profile air-transmitter --period 5 --csv
  listen --port /dev/ttyUSB0 --baud 19200 --framing 8E1
  quiet  --port /dev/ttyUSB0 --address 11-14,56     who goes quiet when a plug is pulled
  record show FILE                                  what was recorded on a visit
  faults FILE --accept 0.1%                           what went wrong, how often, and what that proves
  switches --board levers-8 --address 37            which levers to flip
  profile show heat-meter                           what a device type holds, in every notation
  write  --port /dev/ttyUSB0 --address 21 --register 0 --type int16 --scale 0.1 21.5 --reason "test of the heating"

exit status: 0 found or answered, 1 not, 2 wrong use, 3 no line,
4 record or output cannot be written, 130 interrupted"""
_NEGATIVE = re.compile(r"-[^-].*")


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        command = " ".join([*self.prog.split(" ")[1:], "--help"])
        raise WrongUse(f"{message}; '{command}' shows what can be written")


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    parser = _Parser(
        prog="buswalk",
        description="Commissions and diagnoses Modbus RTU devices on an RS-485 line.",
        epilog=EXAMPLES,
        formatter_class=argparse.RawDescriptionHelpFormatter,
        allow_abbrev=False,
    )
    parser.add_argument("--version", action="version", version=f"buswalk {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, parser_class=_Parser)
    for row in COMMANDS:
        row.add_options(commands.add_parser(row.word, help=row.words, description=row.words, allow_abbrev=False))
    return parser


def run_command(arguments: list[str], parts: Parts) -> ExitStatus:
    """Run one command; every failure becomes a sentence on the error stream, and with --json a last line too.

    Raises:
        BrokenPipeError: Whoever read the output has had enough.
    """
    try:
        _require_command_first(arguments)
        parsed = build_parser().parse_args(_with_negatives_joined(arguments))
        row = next(one for one in COMMANDS if one.word == parsed.command)
        return row.run(parsed, parts)
    except SystemExit as asked_for_help:
        return ExitStatus.DONE if not asked_for_help.code else ExitStatus.WRONG_USE
    except BrokenPipeError:
        raise
    except (Exception, KeyboardInterrupt) as error:  # noqa: BLE001 - the edge: a mistake must be no wall of text
        failed = _failure_of(error)
        parts.err.write(f"{failed.sentence}\n")
        if not isinstance(failed, OutputLost):
            Output(parts.out, is_json="--json" in arguments).failed(failed.sentence, failed.status)
        return failed.status


def _failure_of(error: BaseException) -> Failed:
    match error:
        case Failed():
            return error
        case WrongUse():
            return Failed("\n".join(error.sentences), ExitStatus.WRONG_USE)
        case GuardRefusal():
            return Failed(f"not sent: {error.sentence}", ExitStatus.WRONG_USE)
        case PortError(problem=PortProblem.MISSING):
            return Failed(f"{error.sentence} (the command 'ports' lists them)", ExitStatus.NO_LINE)
        case PortError():
            return Failed(error.sentence, ExitStatus.NO_LINE)
        case Stopped() | KeyboardInterrupt():
            return Failed("stopped; what came so far stands above", ExitStatus.INTERRUPTED)
        case _:
            sentence = f"this is a mistake in buswalk itself; the details are in {_kept_report()}: please send them"
            return Failed(sentence, ExitStatus.NOT_FOUND)


def _require_command_first(arguments: list[str]) -> None:
    """A command word anywhere but in front, or an unknown one, gets a sentence of its own."""
    first = arguments[0] if arguments else ""
    if first in COMMAND_WORDS or first in HELP_WORDS:
        return
    known = next((one for one in arguments if one in COMMAND_WORDS), None)
    if known is not None:
        raise WrongUse(f"write the command first, then its options: {known} {' '.join(arguments[:1])} ...")
    raise WrongUse(f"there is no command '{first}': write one of {', '.join(COMMAND_WORDS)}; '--help' shows more")


def _with_negatives_joined(arguments: list[str]) -> list[str]:
    """Return `--wait -inf` as `--wait=-inf`, so that the option refuses the value in its own words."""
    joined: list[str] = []
    for one in arguments:
        takes_it = joined and joined[-1].startswith("--") and "=" not in joined[-1]
        if takes_it and _NEGATIVE.fullmatch(one) and one != "-h":
            joined[-1] = f"{joined[-1]}={one}"
        else:
            joined.append(one)
    return joined


def _kept_report() -> str:
    try:
        with tempfile.NamedTemporaryFile("w", prefix="buswalk-", suffix=".txt", delete=False) as file:
            file.write(traceback.format_exc())
            return str(Path(file.name))
    except OSError:
        return f"this line, as no file can be written: {traceback.format_exc().strip().splitlines()[-1]}"

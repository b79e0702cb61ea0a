"""All commands in one table, and the edge at which every failure becomes one sentence and an exit status."""

from __future__ import annotations

import argparse
import tempfile
import traceback
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from buswalk import __version__
from buswalk.cli import ask, find, listen, ports
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.parts import Parts, WrongUse
from buswalk.domain.line.port_error import PortError
from buswalk.jobs.asking.asker import Stopped
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
    CommandRow("find", find.WORDS, find.add_options, find.run),
    CommandRow("listen", listen.WORDS, listen.add_options, listen.run),
)
COMMAND_WORDS = tuple(row.word for row in COMMANDS)


class _WrongArguments(Exception):
    """argparse found something wrong; its message is the sentence."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> None:  # type: ignore[override]
        raise _WrongArguments(f"{message}; '{self.prog} --help' shows what can be written")


def build_parser() -> argparse.ArgumentParser:
    """Return the parser of all commands."""
    parser = _Parser(prog="buswalk", description="Commissions and diagnoses Modbus RTU devices on an RS-485 line.")
    parser.add_argument("--version", action="version", version=f"buswalk {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, parser_class=_Parser)
    for row in COMMANDS:
        row.add_options(commands.add_parser(row.word, help=row.words, description=row.words))
    return parser


def run_command(arguments: list[str], parts: Parts) -> ExitStatus:
    """Run one command; every failure becomes a sentence on the error stream."""
    try:
        parsed = build_parser().parse_args(arguments)
        row = next(one for one in COMMANDS if one.word == parsed.command)
        return row.run(parsed, parts)
    except SystemExit as asked_for_help:
        return ExitStatus.DONE if not asked_for_help.code else ExitStatus.WRONG_USE
    except (_WrongArguments, WrongUse) as error:
        parts.err.write(f"{error}\n")
        return ExitStatus.WRONG_USE
    except GuardRefusal as error:
        parts.err.write(f"not sent: {error.sentence}\n")
        return ExitStatus.WRONG_USE
    except PortError as error:
        parts.err.write(f"{error.sentence}\n")
        return ExitStatus.NO_LINE
    except (Stopped, KeyboardInterrupt):
        parts.err.write("stopped; what was found so far stands above\n")
        return ExitStatus.INTERRUPTED
    except Exception:  # noqa: BLE001 - the edge of the program: a mistake of ours must not be a wall of text
        where = _kept_report()
        parts.err.write(f"this is a mistake in buswalk itself; the details are in {where}: please send them\n")
        return ExitStatus.NOT_FOUND


def _kept_report() -> Path:
    with tempfile.NamedTemporaryFile("w", prefix="buswalk-", suffix=".txt", delete=False) as file:
        file.write(traceback.format_exc())
        return Path(file.name)

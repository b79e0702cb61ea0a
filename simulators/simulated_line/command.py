"""`python3 simulators ...` and `buswalk-line ...`: serves a simulated line, lists and shows scenarios."""

from __future__ import annotations

import argparse
import os
import signal
import sys
import tempfile
import traceback
from collections.abc import Callable
from pathlib import Path
from typing import NoReturn

from simulated_line.attachments.network_port import NetworkPort
from simulated_line.attachments.pseudo_terminal import PseudoTerminal
from simulated_line.attachments.real_time import RealTimeSite
from simulated_line.scenario.model import ScenarioFile
from simulated_line.scenario.reading import ScenarioError, load_scenario, named_scenario, scenario_names
from simulated_line.site import build_site
from simulated_line.timeline import Timeline

FAILED = 1
WRONG_USE = 2
NO_LINE = 3
HIGHEST_NETWORK_PORT = 65_535
PTY_REMARK = (
    " (a pseudo terminal carries speed but no framing: any is accepted, "
    "each request goes out in that of the device it is for)"
)


def run(arguments: list[str] | None = None) -> int:
    """Do what the arguments say; return the exit status."""
    try:
        status = _run(arguments)
        sys.stdout.flush()
    except BrokenPipeError:
        # Whoever read has enough. At exit Python writes what is left: to nowhere, not into the broken pipe.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception:  # noqa: BLE001 - the edge of the program: a mistake of ours must be no wall of text
        _say(
            (f"this is a mistake in the simulated line itself; the details are in {_kept_report()}",), sys.stderr.write
        )
        return FAILED
    return status


def _run(arguments: list[str] | None) -> int:
    try:
        parsed = _parser().parse_args(arguments)
        if parsed.command == "list":
            return _list()
        scenario = load_scenario(_path(parsed.scenario))
        if parsed.command == "show":
            return _show(scenario)
        if parsed.link is not None and not parsed.pty:
            raise _WrongArguments("--link names a pseudo terminal: give it with --pty")
        return _serve(scenario, parsed)
    except _WrongArguments as error:
        _say((str(error),), sys.stderr.write)
        return WRONG_USE
    except ScenarioError as error:
        _say(error.problems, sys.stderr.write)
        return WRONG_USE


class _WrongArguments(Exception):
    """What was written cannot be; its message is the sentence."""


class _Parser(argparse.ArgumentParser):
    def error(self, message: str) -> NoReturn:
        raise _WrongArguments(f"{message}; '{self.prog} --help' shows what can be written")


def _network_port(text: str) -> int:
    if not text.isdecimal() or int(text) > HIGHEST_NETWORK_PORT:
        raise argparse.ArgumentTypeError(f"network port '{text}' cannot be: write 0 to {HIGHEST_NETWORK_PORT}")
    return int(text)


def _parser() -> argparse.ArgumentParser:
    parser = _Parser(prog="simulators", description="A simulated RS-485 line for other programs.")
    commands = parser.add_subparsers(dest="command", required=True, parser_class=_Parser)
    commands.add_parser("list", help="the scenarios there are")
    show = commands.add_parser("show", help="story, devices and what a good tool finds")
    show.add_argument("scenario", help="name of a scenario, or a file")
    serve = commands.add_parser("serve", help="run a scenario at real pace until Ctrl-C")
    serve.add_argument("scenario", help="name of a scenario, or a file")
    way = serve.add_mutually_exclusive_group(required=True)
    way.add_argument("--pty", action="store_true", help="on a pseudo terminal (not on Windows)")
    way.add_argument(
        "--rfc2217",
        nargs="?",
        type=_network_port,
        const=0,
        metavar="PORT",
        help="as a serial server on this computer's network",
    )
    serve.add_argument("--link", type=Path, metavar="PATH", help="a stable name for the pseudo terminal")
    return parser


def _path(text: str) -> Path:
    return Path(text) if text.endswith(".toml") else named_scenario(text)


def _list() -> int:
    for name in scenario_names():
        scenario = load_scenario(named_scenario(name))
        first = scenario.story.strip().splitlines()[0]
        _say((f"{name:32} {first}",), sys.stdout.write)
    return 0


def _show(scenario: ScenarioFile) -> int:
    lines = [scenario.name, "", *scenario.story.strip().splitlines(), ""]
    for device in scenario.device:
        powered = "" if device.powered else ", no supply"
        place = f"place {device.place}, {device.metres:.0f} m"
        lines.append(f"  {device.address:3}  {device.settings!s:11} {device.name} ({device.type}; {place}{powered})")
    lines.extend(
        f"  another client: {client.name}, {client.settings}, every {client.period_s:g} s" for client in scenario.client
    )
    found = sorted(one.server_address for one in scenario.expect.device)
    lines += ["", f"a good tool finds {len(found)}: {', '.join(map(str, found)) or 'nothing'}"]
    if scenario.expect.silent:
        lines.append(f"and says that these are silent: {', '.join(map(str, scenario.expect.silent))}")
    _say(lines, sys.stdout.write)
    return 0


def _serve(scenario: ScenarioFile, parsed: argparse.Namespace) -> int:
    site = build_site(scenario, Timeline())
    try:
        peer = (
            PseudoTerminal(scenario.adapter_settings, parsed.link)
            if parsed.pty
            else NetworkPort(scenario.adapter_settings, parsed.rfc2217)
        )
    except OSError as reason:
        _say((f"the line cannot be served: {_reason_words(reason)}",), sys.stderr.write)
        return NO_LINE
    running = RealTimeSite(site, peer)
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, lambda _number, _frame: running.end())
    _say((f"ready: {peer.name}{PTY_REMARK if parsed.pty else ''}",), sys.stdout.write)
    sys.stdout.flush()
    try:
        running.run()
    finally:
        peer.close()
    return 0


def _kept_report() -> str:
    with tempfile.NamedTemporaryFile("w", prefix="buswalk-line-", suffix=".txt", delete=False) as file:
        file.write(traceback.format_exc())
        return file.name


def _reason_words(reason: OSError) -> str:
    if reason.errno is None:
        return str(reason)
    where = f"{reason.filename2 or reason.filename}: " if reason.filename else ""
    return f"{where}{(reason.strerror or 'refused by the system').lower()}"


def _say(lines: tuple[str, ...] | list[str], write: Callable[[str], int]) -> None:
    write("\n".join(lines) + "\n")


if __name__ == "__main__":
    sys.exit(run())

"""A command run in this process on kept streams: quick, and on any line one hands it."""

from __future__ import annotations

import io
import json
from dataclasses import dataclass, replace
from typing import Any

from buswalk.bus.parts import HeldLine
from buswalk.bus.stop_request import StopRequest
from buswalk.cli.command_line import run_command
from buswalk.cli.parts import ListedPort, OpensLine, Parts, PortChoice
from buswalk.command_parts import standard_parts
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.jobs.asking.write_guard import NO_CONSENT, Consents

RECORDED = "recorded in "
NO_PORTS: tuple[ListedPort, ...] = ()


@dataclass(frozen=True, slots=True)
class Ran:
    """What a command left behind.

    Attributes:
        err: What it said on its error stream, but for the line that names the record.
        recorded: That line; empty where nothing is recorded.
    """

    status: int
    out: str
    err: str
    recorded: str = ""

    @property
    def events(self) -> list[dict[str, Any]]:
        """Its output as JSON objects, one a line."""
        return [json.loads(line) for line in self.out.splitlines()]

    @property
    def kinds(self) -> list[str]:
        """The kind of each event."""
        return [str(one["event"]) for one in self.events]


def ran(*arguments: str) -> Ran:
    """Run a command as users do; simulated lines in virtual time need `--clock virtual`."""
    out, err = io.StringIO(), io.StringIO()
    return _ended(arguments, standard_parts(out, err, StopRequest()), out, err)


def ran_on(open_line: OpensLine, *arguments: str, stop: StopRequest | None = None) -> Ran:
    """Run a command on lines of one's own; there is no port to list."""
    out, err = io.StringIO(), io.StringIO()
    parts = replace(standard_parts(out, err, stop or StopRequest()), open_line=open_line, list_ports=lambda: NO_PORTS)
    return _ended(arguments, parts, out, err)


def _ended(arguments: tuple[str, ...], parts: Parts, out: io.StringIO, err: io.StringIO) -> Ran:
    status = run_command(list(arguments), parts)
    said = err.getvalue().splitlines(keepends=True)
    recorded = [line for line in said if line.startswith(RECORDED)]
    assert len(recorded) <= 1
    return Ran(int(status), out.getvalue(), "".join(line for line in said if line not in recorded), "".join(recorded))


def handing(line: Line, clock: Clock, consents: Consents = NO_CONSENT) -> OpensLine:
    """Return an opener that hands out this line; lost, it does not come back."""

    def open_line(choice: PortChoice) -> HeldLine:
        line.apply(choice.settings)
        return HeldLine(choice.port, "an adapter", "", choice.port, line, clock, consents, _away)

    return open_line


def refusing(error: Exception) -> OpensLine:
    """Return an opener that raises."""

    def open_line(choice: PortChoice) -> HeldLine:
        raise error

    return open_line


def _away(settings: SerialSettings) -> Line:
    raise PortError("port", PortProblem.MISSING, f"the port is away, at {settings} too")

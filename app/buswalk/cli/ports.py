"""`ports`: which ports there are, the adapter first."""

from __future__ import annotations

import argparse

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.options import add_json_option
from buswalk.cli.output import Output
from buswalk.cli.parts import ListedPort, Parts

WORDS = "list serial ports by their adapter"


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_json_option(parser)


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """List them; not found if there are none."""
    output = Output(parts.out, is_json=arguments.json)
    output.started("ports", "")
    ports = parts.list_ports()
    for one in ports:
        output.event(one)
    output.text(*ports_lines(ports))
    return ExitStatus.DONE if ports else ExitStatus.NOT_FOUND


def ports_lines(ports: tuple[ListedPort, ...]) -> list[str]:
    """Return the list in words."""
    if not ports:
        return ["no serial port: plug an adapter in, or try --port demo:greenhouse-first-day"]
    return [f"{one.port:16} {one.adapter:28} {one.words}" for one in ports]

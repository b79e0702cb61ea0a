"""`ports`: which ports there are, the adapter first."""

from __future__ import annotations

import argparse
import json

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.options import add_json_option
from buswalk.cli.parts import ListedPort, Parts

WORDS = "list serial ports by their adapter"


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_json_option(parser)


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """List them; not found if there are none."""
    ports = parts.list_ports()
    for one in ports:
        if arguments.json:
            fields = {"event": "port", "port": one.port, "words": one.words, "adapter": one.adapter}
            parts.out.write(json.dumps(fields) + "\n")
    if not arguments.json:
        parts.out.write("\n".join(ports_lines(ports)) + "\n")
    return ExitStatus.DONE if ports else ExitStatus.NOT_FOUND


def ports_lines(ports: tuple[ListedPort, ...]) -> list[str]:
    """Return the list in words."""
    if not ports:
        return ["no serial port: plug an adapter in, or try --port demo:greenhouse-first-day"]
    return [f"{one.port:16} {one.adapter:28} {one.words}" for one in ports]

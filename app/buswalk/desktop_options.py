"""The options of the window: which port it opens, and where it keeps its files."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from dataclasses import dataclass
from typing import NoReturn

from buswalk.bus.pace import Pace
from buswalk.cli.options import add_port_options, add_settings_options, port_options_of, rtu_settings_of
from buswalk.cli.parts import WrongUse
from buswalk.domain.line.port_options import PortOptions
from buswalk.domain.line.serial_settings import SerialSettings

FIRST_PORT = "demo:greenhouse-first-day"
"""Opened where no port is named: the window never starts with a question."""


@dataclass(frozen=True, slots=True)
class DesktopChoice:
    """What they say."""

    port: str
    settings: SerialSettings
    options: PortOptions
    pace: Pace
    data_folder: str


def desktop_choice(arguments: Sequence[str]) -> DesktopChoice:
    """Read the options.

    Raises:
        WrongUse: They cannot be.
    """
    parser = _Parser(prog="buswalk", add_help=False, allow_abbrev=False)
    parser.add_argument("--port", default=FIRST_PORT)
    parser.add_argument("--clock", choices=[one.value for one in Pace], default=Pace.PACED.value)
    parser.add_argument("--data-folder", default="")
    add_settings_options(parser)
    add_port_options(parser)
    given = parser.parse_args(list(arguments))
    return DesktopChoice(
        port=given.port,
        settings=rtu_settings_of(given.baud, given.framing),
        options=port_options_of(given),
        pace=Pace(given.clock),
        data_folder=given.data_folder,
    )


class _Parser(argparse.ArgumentParser):
    """Raises where argparse would end the program."""

    def error(self, message: str) -> NoReturn:
        """Say it in one sentence."""
        raise WrongUse(f"{message}: the window takes --port, --baud, --framing, --clock and --data-folder")

"""Options that several commands share, and their text turned into values."""

from __future__ import annotations

import argparse

from buswalk.cli.parts import WrongUse
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, SERVER_ADDRESSES

DEFAULT_BAUD = 9600
DEFAULT_FRAMING = "8N1"


def add_line_options(parser: argparse.ArgumentParser) -> None:
    """Add those that open a line."""
    parser.add_argument(
        "--port",
        required=True,
        help="a serial port, rfc2217://host:port, socket://host:port, demo:NAME or sim:FILE",
    )
    parser.add_argument("--clock", choices=("paced", "virtual"), default="paced", help="time of a simulated line")
    add_json_option(parser)


def add_json_option(parser: argparse.ArgumentParser) -> None:
    """Add the switch to machine-readable output."""
    parser.add_argument("--json", action="store_true", help="one JSON object a line, each with 'event'")


def add_settings_options(parser: argparse.ArgumentParser) -> None:
    """Add speed and framing."""
    parser.add_argument("--baud", type=int, default=DEFAULT_BAUD, help=f"speed, {DEFAULT_BAUD} if not given")
    parser.add_argument("--framing", default=DEFAULT_FRAMING, help=f"such as 8E1; {DEFAULT_FRAMING} if not given")


def settings_of(baud: int, framing: str) -> SerialSettings:
    """Return speed and framing.

    Raises:
        WrongUse: They cannot be.
    """
    try:
        return SerialSettings.of(baud, framing)
    except ValueError as reason:
        raise WrongUse(str(reason)) from reason


def settings_list(text: str) -> tuple[SerialSettings, ...]:
    """Return settings written as `9600 8N1,19200 8E1`.

    Raises:
        WrongUse: One of them cannot be.
    """
    found: list[SerialSettings] = []
    for one in text.split(","):
        parts = one.split()
        if len(parts) != 2 or not parts[0].isdigit():
            raise WrongUse(f"setting '{one.strip()}' cannot be: write speed and framing, such as '9600 8N1'")
        found.append(settings_of(int(parts[0]), parts[1]))
    return tuple(found)


def server_address_of(value: int) -> int:
    """Return a server address, or 0 for all.

    Raises:
        WrongUse: No server can have it.
    """
    if value not in SERVER_ADDRESSES and value != BROADCAST_ADDRESS:
        raise WrongUse(f"address {value} cannot be: servers have 1 to 247")
    return value


def addresses_of(text: str) -> tuple[int, ...]:
    """Return addresses written as `1-40,56`.

    Raises:
        WrongUse: A part is no address or backward range.
    """
    found: list[int] = []
    for part in text.split(","):
        first, dash, last = part.strip().partition("-")
        if not first.isdigit() or (dash and not last.isdigit()):
            raise WrongUse(f"addresses '{part.strip()}' cannot be: write numbers and ranges, such as 1-40,56")
        begin, end = int(first), int(last) if dash else int(first)
        if begin > end:
            raise WrongUse(f"addresses {begin} to {end} run backward: write the lower one first")
        if begin not in SERVER_ADDRESSES or end not in SERVER_ADDRESSES:
            wrong = begin if begin not in SERVER_ADDRESSES else end
            raise WrongUse(f"address {wrong} cannot be: servers have 1 to 247")
        found.extend(range(begin, end + 1))
    return tuple(dict.fromkeys(found))

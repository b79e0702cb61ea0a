"""Options that several commands share, and their text turned into values."""

from __future__ import annotations

import argparse
from pathlib import Path

from buswalk.cli.number_options import ChoiceOption, WholeOption
from buswalk.cli.parts import NamedFile, NoRecord, PortChoice, RecordChoice, UsualPlace, WrongUse
from buswalk.domain.line.port_options import Direction, PortOptions
from buswalk.domain.line.serial_settings import HIGHEST_BAUD, LOWEST_BAUD, SerialSettings
from buswalk.domain.modbus.adu import SERVER_ADDRESSES

RTU_DATA_BITS = 8
"""Serial Line V1.02, 2.5.1."""
LONGEST_NUMBER = 9
DEFAULT_BAUD = 9600
DEFAULT_FRAMING = "8N1"


PORT_HELP = "a serial port, rfc2217://host:port, socket://host:port, demo:NAME or sim:FILE"


def add_line_options(parser: argparse.ArgumentParser) -> None:
    """Add those that open a line."""
    parser.add_argument("--port", required=True, help=PORT_HELP)
    add_open_line_options(parser)


def add_open_line_options(parser: argparse.ArgumentParser) -> None:
    """Add how a line is opened and recorded, all but which one."""
    parser.add_argument(
        "--clock",
        type=ChoiceOption("--clock", ("paced", "virtual")),
        default="paced",
        metavar="{paced,virtual}",
        help="time of a simulated line: ten times real speed (if not given), or jumping",
    )
    add_json_option(parser)
    add_record_options(parser)
    add_port_options(parser)


def add_port_options(parser: argparse.ArgumentParser) -> None:
    """Add expert settings of a serial port."""
    group = parser.add_argument_group("expert settings of a serial port, rarely needed")
    group.add_argument(
        "--direction",
        type=ChoiceOption("--direction", tuple(one.value for one in Direction)),
        default=Direction.HARDWARE.value,
        metavar="{hardware,rts,kernel}",
        help="who switches the RS-485 driver: the adapter itself (if not given), this program by RTS, or the kernel",
    )
    group.add_argument("--no-dtr", action="store_true", help="leave DTR off; some adapters take their supply from it")
    group.add_argument("--no-rts", action="store_true", help="leave RTS off at opening")
    group.add_argument(
        "--low-latency",
        action="store_true",
        help="ask the system to hand bytes over at once (Linux); the adapter keeps it until it is unplugged",
    )


def add_record_options(parser: argparse.ArgumentParser) -> None:
    """Add where the session is recorded."""
    group = parser.add_argument_group("the record: everything is in it before it is shown")
    which = group.add_mutually_exclusive_group()
    which.add_argument("--record", metavar="FILE", help="record into this file, or go on in it; else nothing is sent")
    which.add_argument("--no-record", action="store_true", help="record nothing")
    group.add_argument(
        "--data-folder",
        default="",
        metavar="DIR",
        help="where records are kept; not given: the data folder of this user",
    )


def record_choice(arguments: argparse.Namespace) -> RecordChoice:
    """Return where the options want the session recorded.

    Raises:
        WrongUse: The file has no name.
    """
    if arguments.no_record:
        return NoRecord()
    if arguments.record is None:
        return UsualPlace(arguments.data_folder)
    if not Path(arguments.record).name:
        raise WrongUse(f"--record '{arguments.record}' cannot be: name a file, such as hall-3.buswalk.sqlite")
    return NamedFile(Path(arguments.record))


def port_choice(arguments: argparse.Namespace, settings: SerialSettings) -> PortChoice:
    """Return which line the options name, to be opened with these settings."""
    return PortChoice(arguments.port, settings, arguments.clock == "virtual", port_options_of(arguments))


def port_options_of(arguments: argparse.Namespace) -> PortOptions:
    """Return the expert settings that were given."""
    return PortOptions(
        direction=Direction(arguments.direction),
        dtr=not arguments.no_dtr,
        rts=not arguments.no_rts,
        low_latency=arguments.low_latency,
    )


def add_json_option(parser: argparse.ArgumentParser) -> None:
    """Add the switch to machine-readable output."""
    parser.add_argument("--json", action="store_true", help="one JSON object a line, each with 'event'")


def add_settings_options(parser: argparse.ArgumentParser) -> None:
    """Add speed and framing."""
    parser.add_argument(
        "--baud",
        type=WholeOption("--baud", LOWEST_BAUD, HIGHEST_BAUD),
        default=DEFAULT_BAUD,
        help=f"speed, {DEFAULT_BAUD} if not given",
    )
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


def rtu_settings_of(baud: int, framing: str) -> SerialSettings:
    """Return speed and framing in which RTU frames can be sent.

    Raises:
        WrongUse: They cannot be, or characters would have seven data bits.
    """
    settings = settings_of(baud, framing)
    if settings.data_bits != RTU_DATA_BITS:
        raise WrongUse(
            f"framing '{framing}' cannot carry RTU, whose characters have 8 data bits: write such as 8E1 "
            "(to hear a device in ASCII mode, listen at this framing)"
        )
    return settings


def settings_list(text: str) -> tuple[SerialSettings, ...]:
    """Return settings written as `9600 8N1,19200 8E1`.

    Raises:
        WrongUse: One of them cannot be.
    """
    found: list[SerialSettings] = []
    for one in text.split(","):
        parts = one.split()
        if len(parts) != 2:
            raise WrongUse(f"setting '{one.strip()}' cannot be: write speed and framing, such as '9600 8N1'")
        found.append(rtu_settings_of(WholeOption("speed", LOWEST_BAUD, HIGHEST_BAUD)(parts[0]), parts[1]))
    return tuple(found)


def addresses_of(option: str, text: str) -> tuple[int, ...]:
    """Return addresses written as `1-40,56`.

    Raises:
        WrongUse: A part is no address or backward range.
    """
    found: list[int] = []
    for part in text.split(","):
        first, dash, last = part.strip().partition("-")
        if not _is_number(first) or (dash and not _is_number(last)):
            raise WrongUse(f"{option} '{part.strip()}' cannot be: write numbers and ranges, such as 1-40,56")
        begin, end = int(first), int(last) if dash else int(first)
        if begin > end:
            raise WrongUse(f"{option} {begin} to {end} run backward: write the lower one first")
        if begin not in SERVER_ADDRESSES or end not in SERVER_ADDRESSES:
            wrong = begin if begin not in SERVER_ADDRESSES else end
            raise WrongUse(f"{option} {wrong} cannot be: servers have 1 to 247")
        found.extend(range(begin, end + 1))
    return tuple(dict.fromkeys(found))


def _is_number(text: str) -> bool:
    return text.isascii() and text.isdecimal() and len(text) <= LONGEST_NUMBER

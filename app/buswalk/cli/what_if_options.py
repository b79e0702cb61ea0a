"""What the user asks of a cycle: what if it were faster, waited shorter, had more devices, or dead ones."""

from __future__ import annotations

import argparse
from collections.abc import Collection

from buswalk.cli.number_options import ChoiceOption, SecondsOption, WholeOption
from buswalk.cli.options import addresses_of
from buswalk.cli.parts import WrongUse
from buswalk.domain.registers.what_if import (
    MOST_MORE,
    USUAL_SPEEDS,
    MoreDevices,
    OtherSpeed,
    OtherTimeOut,
    TheseSilent,
    WhatIf,
)

LONGEST_TIMEOUT_S = 60.0
SPEEDS = tuple(map(str, USUAL_SPEEDS))


def add_what_if_options(parser: argparse.ArgumentParser) -> None:
    """Add whether a forecast is all that is wanted, and what is to be forecast beside the cycle as it is."""
    group = parser.add_argument_group(
        "forecast of the cycle",
        "each what-if is told at the end beside the measured cycle, then all together",
    )
    group.add_argument(
        "--forecast",
        action="store_true",
        help="show no values and end as soon as each device was measured by 20 exchanges",
    )
    group.add_argument(
        "--if-baud",
        type=ChoiceOption("--if-baud", SPEEDS),
        metavar="BAUD",
        help=f"all devices at this speed, requests planned anew for it: {', '.join(SPEEDS)}",
    )
    group.add_argument(
        "--if-timeout",
        type=SecondsOption("--if-timeout", 0.001, LONGEST_TIMEOUT_S),
        metavar="SECONDS",
        help="replies waited for so long",
    )
    group.add_argument(
        "--if-more", type=WholeOption("--if-more", 1, MOST_MORE), metavar="N", help="so many devices more"
    )
    group.add_argument(
        "--if-more-like",
        type=WholeOption("--if-more-like", 1, 247),
        metavar="ADDRESS",
        help="the device that those more are like; not given: like all that answer, one after the other",
    )
    group.add_argument("--if-silent", metavar="ADDRESSES", help="these devices dead, such as 21,22")


def what_ifs_of(arguments: argparse.Namespace, watched: Collection[int]) -> tuple[WhatIf, ...]:
    """Return what is asked of the cycle of the watched addresses.

    Raises:
        WrongUse: A device that is not watched, or a CSV, which has no room for sentences.
    """
    asked: list[WhatIf] = []
    if arguments.if_baud is not None:
        asked.append(OtherSpeed(int(arguments.if_baud)))
    if arguments.if_timeout is not None:
        asked.append(OtherTimeOut(arguments.if_timeout))
    if arguments.if_more is not None:
        asked.append(MoreDevices(arguments.if_more, _watched("--if-more-like", arguments.if_more_like or 0, watched)))
    elif arguments.if_more_like is not None:
        raise WrongUse("--if-more-like says what more devices are like: write how many by --if-more as well")
    if arguments.if_silent is not None:
        silent = addresses_of("--if-silent", arguments.if_silent)
        asked.append(TheseSilent(tuple(_watched("--if-silent", one, watched) for one in silent)))
    if arguments.csv and (asked or arguments.forecast):
        raise WrongUse("--csv has no room for a forecast: leave out one of them")
    return tuple(asked)


def _watched(option: str, address: int, watched: Collection[int]) -> int:
    if address and address not in watched:
        raise WrongUse(f"{option} {address}: this device is not watched")
    return address

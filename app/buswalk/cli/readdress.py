"""`readdress`: one device set to another address or speed by writing, and looked for in all places afterwards."""

from __future__ import annotations

import argparse

from buswalk.cli.confirming import Wanted, add_confirming_options, require_confirmed, require_living_allowed
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import SecondsOption, WholeOption
from buswalk.cli.options import (
    add_line_options,
    add_settings_options,
    addresses_of,
    port_choice,
    record_choice,
    rtu_settings_of,
)
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling
from buswalk.cli.write_words import readdress_lines
from buswalk.domain.line.serial_settings import HIGHEST_BAUD, LOWEST_BAUD
from buswalk.domain.readdressing.ending import IS_MOVED
from buswalk.domain.readdressing.events import ReaddressEnded
from buswalk.domain.readdressing.plan import Reach, ReaddressPlan, RegisterValue
from buswalk.jobs.asking.write_lock import WriteLock
from buswalk.jobs.readdressing import readdress

WORDS = "set one device to another address or speed by writing, and find out where it is then"
NOT_ALONE = "not alone"
CAUTION = (
    "caution: the device must be alone on the pair, and what asks it today will not find it at its new address; what "
    "starts or stops when it is silent or restarts comes first, and local rules and licensed practice with it"
)


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    address = WholeOption("--address", 1, 247)
    parser.add_argument("--address", type=address, required=True, help="where it is now, 1 to 247")
    parser.add_argument("--to-address", type=WholeOption("--to-address", 1, 247), help="where it is to be")
    parser.add_argument("--to-baud", type=WholeOption("--to-baud", LOWEST_BAUD, HIGHEST_BAUD), help="the new speed")
    parser.add_argument("--to-framing", help="the new framing, such as 8E1")
    parser.add_argument(
        "--set",
        required=True,
        metavar="REGISTER=VALUE,...",
        help="what is written, in this order, from the maker's papers: such as 100=45, or 100=45,101=3,255=1 with a "
        "register that saves last; registers as sent (from 0)",
    )
    parser.add_argument(
        "--company",
        default="1-247",
        metavar="ADDRESSES",
        help="which addresses are asked whether somebody else is on the line, 1-247 if not given",
    )
    parser.add_argument(
        "--restart-within",
        type=SecondsOption("--restart-within", 1.0, 3600.0),
        default=180.0,
        help="how long a restart of the device is waited for, 180 s if not given",
    )
    add_confirming_options(parser, "the new address, or where only the speed changes the new speed and framing,")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Do it; done if the device is where it should be."""
    output = Output(parts.out, is_json=arguments.json)
    plan = plan_of(arguments)
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, plan.before.settings))
    end: ReaddressEnded | None = None
    with CommandSession("set address", choice, held, parts, output) as session:
        output.started("readdress", arguments.port)
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        asker = session.asker_on(timers.line(held.line), timers.sink(lambda _event: None))
        require_living_allowed(asker, arguments, output, timers)
        written = ", ".join(f"register {one.register_address} = {one.value}" for one in plan.writes)
        output.text(f"{plan.before} is to be at {plan.after}, by writing {written}", CAUTION)
        require_confirmed(Wanted(_confirmed_by(plan)), arguments, parts)
        lock = WriteLock(parts.recording.wall_now_s)
        lock.unlock(arguments.reason)
        for event in readdress(asker, lock, plan):
            session.keep(event)
            output.event(event)
            output.text(*readdress_lines(event))
            end = event if isinstance(event, ReaddressEnded) else end
    return session.status(ExitStatus.DONE if end is not None and end.end in IS_MOVED else ExitStatus.NOT_FOUND)


def plan_of(arguments: argparse.Namespace) -> ReaddressPlan:
    """Return what the options ask for.

    Raises:
        WrongUse: It cannot be.
    """
    now = rtu_settings_of(arguments.baud, arguments.framing)
    then = rtu_settings_of(arguments.to_baud or arguments.baud, arguments.to_framing or arguments.framing)
    try:
        return ReaddressPlan(
            Reach(arguments.address, now),
            Reach(arguments.to_address or arguments.address, then),
            tuple(_register_value(one) for one in arguments.set.split(",")),
            arguments.reason,
            addresses_of("--company", arguments.company),
            NOT_ALONE in arguments.confirm_apart,
            restart_within_s=arguments.restart_within,
        )
    except ValueError as reason:
        raise WrongUse(str(reason)) from reason


def _register_value(text: str) -> RegisterValue:
    register, equals, value = text.partition("=")
    if not equals:
        raise WrongUse(f"--set '{text}' cannot be: write register and value, such as 100=45")
    word = WholeOption("--set", 0, 0xFFFF)
    return RegisterValue(word(register.strip()), word(value.strip()))


def _confirmed_by(plan: ReaddressPlan) -> str:
    has_other_address = plan.before.server_address != plan.after.server_address
    return str(plan.after.server_address) if has_other_address else str(plan.after.settings)

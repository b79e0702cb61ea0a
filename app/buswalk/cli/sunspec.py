"""`sunspec`: reads the self-describing map of one device, by the open standard of that name. It only reads."""

from __future__ import annotations

import argparse

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import SecondsOption, WholeOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts
from buswalk.cli.recording import CommandSession
from buswalk.cli.sunspec_words import chain_lines, model_lines, no_chain_line
from buswalk.cli.timer_telling import TimerTelling
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.registers.sunspec.events import ChainRead, ModelRead, NoChain
from buswalk.domain.registers.sunspec.profiles import DescribedModel, profile_of
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.listening import listen_with
from buswalk.jobs.sunspec_reading import SunSpecPlan, SunSpecReader

WORDS = "read the self-describing map of a SunSpec device"
LISTEN_S = 10.0
LONGEST_S = 60.0
SHORTEST_WAIT_S = 0.001


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    address = WholeOption("--address", 1, 247)
    parser.add_argument("--address", type=address, required=True, help="of the server, 1 to 247")
    parser.add_argument(
        "--timeout",
        type=SecondsOption("--timeout", SHORTEST_WAIT_S, LONGEST_S),
        default=1.0,
        help="wait for the first byte of a reply in seconds, 1 if not given",
    )
    parser.add_argument("--name", help="keep what was read as a register profile of yours under this name")
    parser.add_argument("--alone", action="store_true", help="do not listen first: nobody else is on this line")
    parser.add_argument("--live-line", action="store_true", help="ask although another client was heard")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Read; done if a map was found and walked to its end."""
    output = Output(parts.out, is_json=arguments.json)
    plan = SunSpecPlan(arguments.address, rtu_settings_of(arguments.baud, arguments.framing), arguments.timeout)
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, plan.settings))
    is_whole = False
    models: list[DescribedModel] = []
    with CommandSession("sunspec", choice, held, parts, output) as session:
        output.started("sunspec", arguments.port)
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        asker = session.asker_on(timers.line(held.line), timers.sink(lambda _: None))
        if not arguments.alone and _is_alive(asker, session, output, timers):
            return session.status(ExitStatus.NOT_FOUND)
        for event in SunSpecReader(asker, plan).run():
            session.keep(event)
            output.event(event)
            match event:
                case NoChain():
                    output.text(no_chain_line(event))
                case ChainRead(chain=chain):
                    is_whole = chain.is_ended
                    output.text(*chain_lines(event))
                case ModelRead(model=model):
                    definition = parts.profiles.sunspec_model(model.number)
                    output.text(*model_lines(event, definition))
                    models += [DescribedModel(definition, model, event.words)] if definition is not None else []
        if arguments.name and models:
            output.text(f"kept as {parts.profiles.keep(profile_of(arguments.name, models))}")
    return session.status(ExitStatus.DONE if is_whole else ExitStatus.NOT_FOUND)


def _is_alive(asker: Asker, session: CommandSession, output: Output, timers: TimerTelling) -> bool:
    """Listen first; tell whether somebody else is alive and that was not allowed. Either way, name who falls back."""
    for heard in listen_with(asker, LISTEN_S):
        session.keep(heard)
        if isinstance(heard, ListeningEnded):
            output.event(heard)
            if heard.verdict is Verdict.SILENT:
                continue
            if not timers.may_ask_beside:
                living = LivingLine(heard.verdict, "something is sending on this line; nothing was asked")
                session.keep(living)
                output.event(living)
                output.text(f"{living.sentence}: --live-line asks all the same")
            timers.say_before_asking()
            return not timers.may_ask_beside
    return False

"""`learn`: which addresses of one device can be read. It only reads, once it was said that reading is safe there."""

from __future__ import annotations

import argparse
from pathlib import Path

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.learn_words import learning_lines, progress_words
from buswalk.cli.number_options import ChoiceOption, SecondsOption, WholeOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output, clear_progress
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling
from buswalk.domain.record_reader import LARGEST_PAGE, ExchangePage, RecordReader
from buswalk.domain.registers.map_learning.from_exchanges import learnt_reads
from buswalk.domain.registers.map_learning.plan import (
    READING_MAY_CHANGE,
    LearningGivenUp,
    LearnPlan,
    LearntRead,
    MapLearnt,
    MapProgress,
)
from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import LivingLine
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.jobs.map_learning import MapLearner

WORDS = "learn which addresses of one device can be read"
LISTEN_S = 10.0
LONGEST_S = 60.0
SHORTEST_WAIT_S = 0.001
LONGEST_SPAN = 64


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    tables = ", ".join(one.value for one in Table)
    parser.add_argument(
        "--address", type=WholeOption("--address", 1, 247), required=True, help="of the server, 1 to 247"
    )
    parser.add_argument(
        "--table",
        type=ChoiceOption("--table", tuple(one.value for one in Table)),
        action="append",
        help=f"{tables}; may be given several times; holding_registers if not given",
    )
    ends = WholeOption("--from", 0, LAST_REGISTER_ADDRESS), WholeOption("--to", 0, LAST_REGISTER_ADDRESS)
    parser.add_argument("--from", dest="first", type=ends[0], default=0, help="first address, as sent; 0 if not given")
    parser.add_argument("--to", dest="last", type=ends[1], default=999, help="last address, as sent; 999 if not given")
    parser.add_argument(
        "--reading-is-safe",
        metavar="WHY",
        default="",
        help=f"why reading harms nothing here, in your words: it is kept in the record. {READING_MAY_CHANGE}",
    )
    parser.add_argument(
        "--shortest-span",
        type=WholeOption("--shortest-span", 1, LONGEST_SPAN),
        default=4,
        help="spans of fewer addresses may be missed; 4 if not given, 1 asks every address",
    )
    parser.add_argument(
        "--largest-quantity",
        type=WholeOption("--largest-quantity", 1, 2000),
        default=125,
        help="the most that one request asks for; a lower limit of the device is found out",
    )
    parser.add_argument(
        "--timeout",
        type=SecondsOption("--timeout", SHORTEST_WAIT_S, LONGEST_S),
        default=0.5,
        help="wait for the first byte of a reply in seconds, 0.5 if not given",
    )
    parser.add_argument(
        "--pause",
        type=SecondsOption("--pause", 0.0, LONGEST_S),
        default=0.0,
        help="least silence before each request in seconds",
    )
    parser.add_argument("--alone", action="store_true", help="do not listen first: nobody else is on this line")
    parser.add_argument("--live-line", action="store_true", help="ask although another client was heard")
    parser.add_argument("--go-on", metavar="RECORD", help="ask nothing again that this record tells of the device")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Learn; done if the whole of it was learnt."""
    output = Output(parts.out, is_json=arguments.json)
    plan = plan_of(arguments, parts)
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, plan.settings))
    shows_progress = parts.err.isatty() and not output.is_json
    learnt = 0
    with CommandSession("learn", choice, held, parts, output) as session:
        output.started("learn", arguments.port)
        timers = TimerTelling(arguments, parts, output, held)
        timers.keep_with(session.keep)
        learner = MapLearner(session.asker_on(timers.line(held.line), timers.sink(lambda _: None)), plan)
        say = timers.beside(lambda event: output.text(*learning_lines(event)))
        for event in learner.run():
            session.keep(event)
            output.event(event)
            learnt += isinstance(event, MapLearnt)
            if shows_progress:
                clear_progress(parts.err)
            if isinstance(event, MapProgress) and shows_progress:
                parts.err.write(progress_words(event))
                parts.err.flush()
            say(event)
            if isinstance(event, LivingLine | LearningGivenUp):
                return session.status(ExitStatus.NOT_FOUND)
    return session.status(ExitStatus.DONE if learnt == len(plan.blocks) else ExitStatus.NOT_FOUND)


def plan_of(arguments: argparse.Namespace, parts: Parts) -> LearnPlan:
    """Return the plan that the options describe.

    Raises:
        WrongUse: They describe none.
        Failed: The record to go on from cannot be read.
    """
    if arguments.first > arguments.last:
        raise WrongUse(f"--from {arguments.first} lies behind --to {arguments.last}: write the lower address first")
    if not arguments.reading_is_safe.strip():
        raise WrongUse(
            f"{READING_MAY_CHANGE} Say with --reading-is-safe why that cannot happen here, such as "
            "--reading-is-safe 'manual page 12 lists no such register'"
        )
    tables = dict.fromkeys(arguments.table or [Table.HOLDING_REGISTERS.value])
    return LearnPlan(
        server_address=arguments.address,
        settings=rtu_settings_of(arguments.baud, arguments.framing),
        blocks=tuple(Block(Table(one), arguments.first, arguments.last) for one in tables),
        confirmed=arguments.reading_is_safe,
        wait_s=arguments.timeout,
        minimum_gap_s=arguments.pause,
        shortest_span=arguments.shortest_span,
        largest_quantity=arguments.largest_quantity,
        listen_s=0.0 if arguments.alone else LISTEN_S,
        may_ask_living_line=arguments.live_line,
        memory=_recorded_reads(Path(arguments.go_on), arguments.address, parts) if arguments.go_on else (),
    )


def _recorded_reads(path: Path, server_address: int, parts: Parts) -> tuple[LearntRead, ...]:
    try:
        reader = parts.records.open(path)
        try:
            return tuple(_reads_of(reader, server_address))
        finally:
            reader.close()
    except RecordProblem as problem:
        raise Failed(problem.sentence, ExitStatus.WRONG_USE) from problem


def _reads_of(reader: RecordReader, server_address: int) -> list[LearntRead]:
    reads: list[LearntRead] = []
    after = 0
    while page := reader.exchanges(ExchangePage(after, LARGEST_PAGE, server_address)):
        reads.extend(learnt_reads((one.exchange for one in page), server_address))
        after = page[-1].exchange.number
    return reads

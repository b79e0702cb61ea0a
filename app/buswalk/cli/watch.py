"""`watch`: reads points of devices again and again, as text, as CSV or as JSON lines, until it is enough."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from math import inf

from buswalk.bus.job_runner import Finished, JobEnd, PortLost, StoppedByUser, run_job
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import SecondsOption, WholeOption
from buswalk.cli.options import (
    add_line_options,
    add_settings_options,
    port_choice,
    record_choice,
    rtu_settings_of,
    settings_list,
)
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts, WrongUse
from buswalk.cli.point_options import (
    add_patience_options,
    add_point_options,
    profile_reading,
    reading_of,
    retries_of,
)
from buswalk.cli.recording import CommandSession
from buswalk.cli.timer_telling import TimerTelling
from buswalk.cli.watch_telling import Telling, ValueForm
from buswalk.cli.what_if_options import add_what_if_options, what_ifs_of
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.watching.events import WatchEvent
from buswalk.domain.watching.plan import (
    LEAST_SHARE,
    LONGEST_PERIOD_S,
    PointPeriod,
    PointsRead,
    WatchedDevice,
    WatchPlan,
)
from buswalk.jobs.watching import Watch

WORDS = "read points of devices again and again: text, CSV or JSON lines"
LISTEN_S = 10.0
TIMEOUT_S = 0.5
PERIOD_S = 1.0
LONGEST_S = 30 * 86_400.0
MOST_CYCLES = 1_000_000


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    parser.add_argument("--address", type=WholeOption("--address", 1, 247), help="of the server")
    parser.add_argument(
        "--device",
        action="append",
        metavar="ADDRESS=PROFILE[@SETTINGS]",
        help="one of several devices with the profile that describes it, such as '51=heat-meter@9600 8E1'; may be "
        "given several times. Settings not given: those of --baud and --framing",
    )
    parser.add_argument("--csv", action="store_true", help="one line of comma-separated values for each value")
    add_point_options(parser)
    _add_pace_options(parser.add_argument_group("how often, and for how long"))
    add_patience_options(parser, TIMEOUT_S)
    add_what_if_options(parser)


def _add_pace_options(group: argparse._ArgumentGroup) -> None:
    group.add_argument(
        "--period",
        type=SecondsOption("--period", 0.0, LONGEST_PERIOD_S),
        help="read no point more often than this, in seconds; 1 if not given, 0 for as often as it goes",
    )
    group.add_argument(
        "--point-period",
        action="append",
        metavar="POINT=SECONDS",
        help="a period of its own for one point; may be given several times",
    )
    group.add_argument(
        "--line-percent",
        type=WholeOption("--line-percent", round(LEAST_SHARE * 100), 100),
        default=100,
        help="take no more of the line's time than this, in percent; 100 if not given",
    )
    group.add_argument(
        "--seconds",
        type=SecondsOption("--seconds", 0.1, LONGEST_S),
        default=inf,
        help="how long; not given: until Ctrl-C, or until --cycles are through",
    )
    group.add_argument(
        "--cycles",
        type=WholeOption("--cycles", 1, MOST_CYCLES),
        help="end when every point of each device that is there was looked at so often",
    )
    group.add_argument("--alone", action="store_true", help="nobody else asks on this line: do not listen first")
    group.add_argument("--live-line", action="store_true", help="ask although another client was heard")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Watch; done if any value came."""
    output = Output(parts.out, is_json=arguments.json)
    settings = rtu_settings_of(arguments.baud, arguments.framing)
    plan = _plan_of(arguments, settings, parts)
    what_ifs = what_ifs_of(arguments, {one.server_address for one in plan.devices})
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, settings))
    with CommandSession("watch", choice, held, parts, output) as session:
        output.started("watch", arguments.port)
        telling = Telling(output, session, _form_of(arguments))
        timers = TimerTelling(arguments, parts, _beside_values(arguments, parts, output), held)
        timers.keep_with(session.keep)
        for one in plan.devices:
            if isinstance(one.reading, PointsRead):
                timers.book.is_described_by(one.server_address, one.reading.profile)
        asker = session.asker_on(timers.line(held.line), timers.sink(telling.take_line))
        until_s = held.clock.now_s() + arguments.seconds
        cycles = arguments.cycles or inf
        watch = Watch(
            asker,
            telling.evidence,
            plan,
            lambda: (
                held.clock.now_s() >= until_s
                or telling.cycles() >= cycles
                or (arguments.forecast and telling.needs_no_more_for_a_forecast)
            ),
        )
        end = run_job(_kept(watch.run(), session), timers.beside(telling.show))
        timers.say_left_alone()
        if what_ifs or arguments.forecast:
            telling.show_what_ifs(what_ifs)
        _require_end(end, arguments)
    return session.status(ExitStatus.DONE if telling.has_values else ExitStatus.NOT_FOUND)


def _beside_values(arguments: argparse.Namespace, parts: Parts, output: Output) -> Output:
    """What is no value has no place in a CSV."""
    return Output(parts.err, is_json=False) if arguments.csv else output


def _form_of(arguments: argparse.Namespace) -> ValueForm:
    if arguments.forecast:
        return ValueForm.NONE
    return ValueForm.CSV if arguments.csv else ValueForm.LINES


def _period_s(arguments: argparse.Namespace) -> float:
    """A forecast is made from exchanges that follow each other, unless a period is asked for."""
    if arguments.period is not None:
        return float(arguments.period)
    return 0.0 if arguments.forecast else PERIOD_S


def _plan_of(arguments: argparse.Namespace, settings: SerialSettings, parts: Parts) -> WatchPlan:
    if arguments.csv and arguments.json:
        raise WrongUse("--csv and --json exclude each other: choose one form")
    periods = tuple(_period_of(one) for one in arguments.point_period or ())
    readings = dict(_readings(arguments, parts))
    own = dict(_own_settings(arguments.device or ()))
    for one in periods:
        if not any(one.point in reading.names for reading in readings.values()):
            raise WrongUse(f"--point-period {one.point}: no point of this name is watched")
    try:
        return WatchPlan(
            tuple(
                _device(address, own.get(address, settings), one, periods, arguments)
                for address, one in readings.items()
            ),
            _period_s(arguments),
            arguments.line_percent / 100.0,
            listen_s=0.0 if arguments.alone else LISTEN_S,
            may_ask_living_line=arguments.live_line,
            retries=retries_of(arguments),
        )
    except ValueError as reason:
        raise WrongUse(str(reason)) from reason


def _readings(arguments: argparse.Namespace, parts: Parts) -> Iterator[tuple[int, PointsRead]]:
    if (arguments.address is None) is (arguments.device is None):
        raise WrongUse("say whom to watch: --address with --profile or --from, or --device ADDRESS=PROFILE")
    if arguments.address is not None:
        yield arguments.address, reading_of(arguments, parts.profiles)
        return
    seen: set[int] = set()
    for text in arguments.device:
        address, equals, named = text.partition("=")
        name = named.partition("@")[0]
        if not equals or not name.strip():
            raise WrongUse(f"--device '{text}' cannot be: write address and profile, such as 21=heat-meter")
        number = WholeOption("--device", 1, 247)(address.strip())
        if number in seen:
            raise WrongUse(f"--device {number} is given twice")
        seen.add(number)
        yield number, profile_reading(parts.profiles.named(name.strip()), _named_in(arguments.point or [], number))


def _own_settings(devices: Sequence[str]) -> Iterator[tuple[int, SerialSettings]]:
    """Yield the settings of devices that have their own."""
    for text in devices:
        before, at, settings = text.partition("@")
        if at:
            (own,) = settings_list(settings.partition(",")[0])
            yield int(before.partition("=")[0]), own


def _named_in(points: list[str], address: int) -> tuple[str, ...]:
    """Return the points of one device among `21:flow`; a name without address is none of several devices."""
    for one in points:
        if ":" not in one:
            raise WrongUse(f"--point {one}: with --device write whose it is as well, such as {address}:{one}")
    return tuple(one.partition(":")[2] for one in points if one.partition(":")[0] == str(address))


def _device(
    address: int,
    settings: SerialSettings,
    reading: PointsRead,
    periods: tuple[PointPeriod, ...],
    arguments: argparse.Namespace,
) -> WatchedDevice:
    own = tuple(one for one in periods if one.point in reading.names)
    gap_s = max(arguments.pause, reading.profile.rules.minimum_gap_s)
    points = PointsRead(reading.profile, reading.names, own)
    return WatchedDevice(address, settings, ReadHoldingRegisters(0, 1), arguments.timeout, gap_s, points)


def _period_of(text: str) -> PointPeriod:
    name, equals, seconds = text.rpartition("=")
    if not equals or not name:
        raise WrongUse(f"--point-period '{text}' cannot be: write point and seconds, such as energy=60")
    return PointPeriod(name, SecondsOption("--point-period", 0.0, LONGEST_PERIOD_S)(seconds))


def _kept(job: Iterator[WatchEvent], session: CommandSession) -> Iterator[WatchEvent]:
    """Yield the events of a watch once each is in the record."""
    for event in job:
        session.keep(event)
        yield event


def _require_end(end: JobEnd, arguments: argparse.Namespace) -> None:
    """Raise Failed for a watch that was ended before its time; without one, a stop is its end."""
    match end:
        case StoppedByUser() if arguments.seconds < inf or arguments.cycles or arguments.forecast:
            raise Failed("stopped before its time; what was read so far stands above", ExitStatus.INTERRUPTED)
        case PortLost(sentence=sentence):
            raise Failed(f"{sentence}; what was read so far stands above", ExitStatus.NO_LINE)
        case StoppedByUser() | Finished():
            return

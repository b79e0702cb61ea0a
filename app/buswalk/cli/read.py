"""`read`: one look at points of a device, by its profile or as addresses, with units, raw words and reasons."""

from __future__ import annotations

import argparse
from collections.abc import Iterator

from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.number_options import WholeOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, rtu_settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts
from buswalk.cli.point_options import add_patience_options, add_point_options, reading_of, retries_of
from buswalk.cli.point_words import Told, not_read_words, point_read, reading_lines, told_of
from buswalk.cli.recording import CommandSession
from buswalk.domain.line_events import ExchangeDone, LineEvent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import PointsWatched, Quality, SamplesTaken
from buswalk.domain.watching.events import PointNotRead
from buswalk.domain.watching.plan import WatchedDevice
from buswalk.jobs.reading import ReadingEvent, read_points

WORDS = "read points of one device once, by its register profile or as plain addresses"
TIMEOUT_S = 1.0


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    parser.add_argument("--address", type=WholeOption("--address", 1, 247), required=True, help="of the server")
    add_point_options(parser)
    add_patience_options(parser, TIMEOUT_S)


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Read; done if every point that was asked for has a value or was refused, and none was silent."""
    output = Output(parts.out, is_json=arguments.json)
    device = _device_of(arguments, parts)
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, device.settings))
    with CommandSession("read", choice, held, parts, output) as session:
        output.started("read", arguments.port)
        look = _Look(output)
        asker = session.asker_on(held.line, look.take_line)
        for event in _kept(read_points(asker, device, retries_of(arguments)), session):
            look.take(event)
        look.say_all()
    return session.status(ExitStatus.DONE if look.is_whole else ExitStatus.NOT_FOUND)


def _device_of(arguments: argparse.Namespace, parts: Parts) -> WatchedDevice:
    reading = reading_of(arguments, parts.profiles)
    gap_s = max(arguments.pause, reading.profile.rules.minimum_gap_s)
    settings = rtu_settings_of(arguments.baud, arguments.framing)
    harmless = ReadHoldingRegisters(0, 1)
    return WatchedDevice(arguments.address, settings, harmless, arguments.timeout, gap_s, reading)


def _kept(job: Iterator[ReadingEvent], session: CommandSession) -> Iterator[ReadingEvent]:
    """Yield the events once each is in the record."""
    for event in job:
        session.keep(event)
        yield event


class _Look:
    """What one look brought, in the order of the profile."""

    def __init__(self, output: Output) -> None:
        self._output = output
        self._points: dict[str, Point] = {}
        self._told: dict[str, Told] = {}
        self._requests = 0
        self._last: Exchange | None = None

    @property
    def is_whole(self) -> bool:
        """Whether something was read, and nothing was silent."""
        qualities = {one.sample.quality for one in self._told.values()}
        return bool(qualities) and Quality.NO_REPLY not in qualities

    def take_line(self, event: LineEvent) -> None:
        """Take what happened on the line."""
        if isinstance(event, ExchangeDone):
            self._requests += 1
            self._last = event.exchange

    def take(self, event: ReadingEvent) -> None:
        """Take what was read, and say to machines."""
        self._output.event(event)
        match event:
            case PointsWatched(points=points):
                self._points = {one.name: one for one in points}
            case PointNotRead():
                self._output.text(not_read_words(event))
            case SamplesTaken():
                assert self._last is not None, "an exchange told them"
                for one in told_of(event, self._points, self._last):
                    self._told[one.point.name] = one
                    self._output.event(point_read(one))

    def say_all(self) -> None:
        """Say all values as a table, and how many requests they took."""
        told = [self._told[name] for name in self._points if name in self._told]
        self._output.text(*reading_lines(told))
        points = f"{len(told)} point{'' if len(told) == 1 else 's'}"
        self._output.text(f"{points} in {self._requests} request{'' if self._requests == 1 else 's'}")

"""What `watch` says: each value as it comes, and whatever happens beside, in the form that was asked for."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from enum import Enum

from buswalk.cli.output import Output
from buswalk.cli.point_words import (
    CSV_COLUMNS,
    Told,
    csv_line,
    csv_values,
    not_read_words,
    point_read,
    refused_words,
    told_again_words,
    told_of,
    watch_line,
)
from buswalk.cli.recording import CommandSession
from buswalk.domain.line_events import ExchangeDone, LineEvent
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.registers.cycle_words import cycle_words, seconds_words, what_if_words
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.registers.what_if import WhatIf, what_if
from buswalk.domain.search.events import LivingLine
from buswalk.domain.watching.events import (
    CycleForecasted,
    DeviceAbsent,
    DeviceBack,
    PointNotRead,
    PointRefused,
    PointTold,
    WatchEvent,
)
from buswalk.jobs.searching.evidence import Evidence

NO_FORECAST = (
    "no forecast: it needs 20 answered exchanges with each device that is there; --forecast ends as soon as it has them"
)


class ValueForm(Enum):
    """How values are written."""

    LINES = "lines"
    CSV = "csv"
    NONE = "not at all"


class Telling:
    """Takes the events of a watch."""

    def __init__(self, output: Output, session: CommandSession, form: ValueForm) -> None:
        self._output = output
        self._session = session
        self._form = form
        self._forecasted: CycleForecasted | None = None
        self._points: dict[int, dict[str, Point]] = {}
        self._looks: Counter[tuple[int, str]] = Counter()
        self._absent: set[int] = set()
        self._last: Exchange | None = None
        self.evidence = Evidence()
        self.has_values = False
        if form is ValueForm.CSV:
            output.text(csv_line(CSV_COLUMNS))

    def cycles(self) -> int:
        """Return how often every point of each device that is there was looked at."""
        present = ((address, points) for address, points in self._points.items() if address not in self._absent)
        return min((self._looks[address, name] for address, points in present for name in points), default=0)

    @property
    def needs_no_more_for_a_forecast(self) -> bool:
        """Whether it is there, or nobody is left of whom it could be made."""
        return self._forecasted is not None or (bool(self._points) and self._absent >= self._points.keys())

    def show_what_ifs(self, what_ifs: Sequence[WhatIf]) -> None:
        """Say what the cycle would be: by each change alone, and by all together."""
        told = self._forecasted
        if told is None:
            self._note(NO_FORECAST)
            return
        together = [tuple(what_ifs)] if len(what_ifs) > 1 else []
        for changes in [*((one,) for one in what_ifs), *together]:
            forecast = what_if(told.cycle, changes)
            self._output.event(forecast)
            self._note(*what_if_words(forecast))

    def take_line(self, event: LineEvent) -> None:
        """Take what happened on the line."""
        self.evidence(event)
        if isinstance(event, ExchangeDone):
            self._last = event.exchange

    def show(self, event: WatchEvent) -> None:
        """Say one event."""
        self._output.event(event)
        match event:
            case PointsWatched(server_address=address, points=points):
                self._points[address] = {one.name: one for one in points}
            case SamplesTaken(server_address=address):
                assert self._last is not None, "an exchange told them"
                for one in told_of(event, self._points[address], self._last):
                    self._show_value(one)
            case DeviceAbsent(server_address=address):
                self._absent.add(address)
                self._note(f"{address} is absent: silent {event.silent} times in a row, and asked rarely from now on")
            case DeviceBack(server_address=address):
                self._absent.discard(address)
                self._note(f"{address} is back after {seconds_words(event.after_s)}")
            case CycleForecasted(forecast=forecast, helps=helps):
                self._forecasted = event
                self._note(*cycle_words(forecast, helps))
            case _:
                self._note(*_notes(event))

    def _show_value(self, told: Told) -> None:
        self._looks[told.taken.server_address, told.point.name] += 1
        self.has_values = self.has_values or bool(told.sample.words)
        self._output.event(point_read(told))
        match self._form:
            case ValueForm.CSV:
                self._output.text(csv_line(csv_values(told, self._session.wall_time(told.taken.at_s))))
            case ValueForm.LINES:
                self._output.text(watch_line(told, self._session.clock_words(told.taken.at_s)))
            case ValueForm.NONE:
                pass

    def _note(self, *sentences: str) -> None:
        """Say something beside the values; a CSV has no room for it, the record has it all the same."""
        if self._form is not ValueForm.CSV:
            self._output.text(*sentences)


def _notes(event: WatchEvent) -> tuple[str, ...]:
    match event:
        case LivingLine(sentence=sentence):
            return (f"{sentence}; --live-line asks all the same, and may spoil what others ask",)
        case PointNotRead():
            return (not_read_words(event),)
        case PointRefused():
            return (refused_words(event),)
        case PointTold():
            return (told_again_words(event),)
        case _:
            return ()

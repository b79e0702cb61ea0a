"""Loss timers beside a command: named before another client's line is asked, counted while nobody asks a device."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterable
from typing import TypeVar

from buswalk.bus.looking_line import LookingLine
from buswalk.bus.parts import HeldLine
from buswalk.cli.number_options import WholeOption
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.domain.line.protocols import Line
from buswalk.domain.line_events import EventSink, LineEvent
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.loss_timers.asked_times import AskedTimes
from buswalk.domain.loss_timers.timed_devices import KnownTimers
from buswalk.domain.loss_timers.timer_book import TimerBook
from buswalk.domain.loss_timers.timer_words import (
    DOCUMENTS,
    RESPONSIBLE,
    countdown_words,
    device_words,
    known_lines,
    unasked_words,
)
from buswalk.domain.loss_timers.unasked import Stage, TimerWatch, countdowns, left_alone
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.search.events import ListenedFirst, LivingLine, Verdict

LOOK_EVERY_S = 0.2
Event = TypeVar("Event")


class TimerTelling:
    """Knows devices and their timers for one command; hears what the command hears."""

    def __init__(self, arguments: argparse.Namespace, parts: Parts, output: Output, held: HeldLine) -> None:
        self.book = TimerBook(parts.profiles.read)
        self.book.plan(held.planned)
        self.may_ask_beside = bool(arguments.live_line)
        self._output = output
        self._err = parts.err
        self._clock = held.clock
        self._asked = AskedTimes()
        self._watch = TimerWatch(self._asked)
        self._looked_s = 0.0
        self._has_said = False
        self._keep: Callable[[object], None] = lambda _event: None

    def keep_with(self, keep: Callable[[object], None]) -> None:
        """Have what is said kept in the record before it is said."""
        self._keep = keep

    def line(self, line: Line) -> Line:
        """Return the line so that timers are looked at while it is waited for."""
        return LookingLine(line, self._look)

    def sink(self, other: EventSink) -> EventSink:
        """Return a sink that hears what happens on the line, and hands it on."""

        def take(event: LineEvent) -> None:
            self._asked.take(event)
            other(event)

        return take

    def beside(self, show: Callable[[Event], None]) -> Callable[[Event], None]:
        """Return what shows an event, and behind one that tells of another client who falls back."""

        def shown(event: Event) -> None:
            self.book.take(event)
            show(event)
            if isinstance(event, LivingLine) or self._goes_on_beside(event):
                self.say_before_asking()

        return shown

    def _goes_on_beside(self, event: object) -> bool:
        """Tell whether another client was heard, and will be asked beside."""
        if not self.may_ask_beside or not isinstance(event, ListenedFirst | ListeningEnded):
            return False
        return event.verdict is not Verdict.SILENT

    def timers(self) -> KnownTimers:
        """Return what is known of all devices that are planned, found, or asked by others."""
        return self.book.timers(self._asked.asked_by_others())

    def say_before_asking(self) -> None:
        """Name who falls back when nobody asks: another client is alive. Once is enough."""
        if self._has_said:
            return
        self._has_said = True
        timers = self.timers()
        lines = [f"loss timers: {known_lines(timers)[0]}", *(f"  {one}" for one in known_lines(timers)[1:])]
        self._output.event(timers)
        self._output.text(*lines, DOCUMENTS, RESPONSIBLE)

    def say_left_alone(self) -> None:
        """Name who is asked by nobody any more, now that we have stopped."""
        if self._asked.asked_by_others():
            return
        for one in left_alone(self.timers(), self._asked, self._clock.now_s()):
            self._output.text(f"nobody was heard to ask beside us, and we have stopped: {device_words(one.device)}")

    def progress_words(self) -> str:
        """Return the device that reacts next, if it has not been asked for a while; else nothing."""
        counted = countdowns(self.timers(), self._asked, self._clock.now_s())
        held_up = [one for one in counted if one.stage is not Stage.ASKED]
        return f"{countdown_words(held_up[0])}; " if held_up else ""

    def _look(self) -> None:
        now_s = self._clock.now_s()
        if now_s - self._looked_s < LOOK_EVERY_S:
            return
        self._looked_s = now_s
        if not self._asked.asked_by_others():
            return
        for event in self._watch.look(self.timers(), now_s):
            self._keep(event)
            self._output.event(event)
            if not self._output.is_json:
                self._err.write(f"{unasked_words(event).rstrip('.')}.\n")
                self._err.flush()


def described_devices(texts: Iterable[str], parts: Parts) -> dict[int, RegisterProfile]:
    """Return profiles by address, of `ADDRESS=PROFILE` as somebody wrote them.

    Raises:
        WrongUse: One of them is none, or names no profile.
    """
    described: dict[int, RegisterProfile] = {}
    for text in texts:
        address, equals, name = text.partition("=")
        if not equals or not name.strip():
            raise WrongUse(f"--device '{text}' cannot be: write address and profile, such as 31=fan-drive")
        described[WholeOption("--device", 1, 247)(address.strip())] = parts.profiles.named(name.strip())
    return described

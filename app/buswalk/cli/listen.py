"""`listen`: what comes, joined by silence, with times, frames and marks. Not one byte is sent."""

from __future__ import annotations

import argparse
from collections.abc import Callable

from buswalk.bus.job_runner import StoppableLine
from buswalk.bus.passing_line import PassingLine
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.find_words import duration_words
from buswalk.cli.heard_words import asked_lines, burst_lines
from buswalk.cli.live_bursts import LiveBursts, ShownBurst
from buswalk.cli.number_options import SecondsOption
from buswalk.cli.options import add_line_options, add_settings_options, port_choice, record_choice, settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Failed, Parts
from buswalk.cli.recording import CommandSession
from buswalk.cli.reply_words import count_words
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.sent import Sent
from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.search.events import Verdict
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.listening import listen

WORDS = "listen without sending one byte"
DEFAULT_SECONDS = 10.0
LONGEST_S = 86_400.0
SHORTEST_S = 0.1


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    parser.add_argument(
        "--seconds",
        type=SecondsOption("--seconds", SHORTEST_S, LONGEST_S),
        default=DEFAULT_SECONDS,
        help="how long, 10 if not given",
    )


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Listen; done if anything was heard. A stop ends it early, and what was heard is summed up all the same."""
    output = Output(parts.out, is_json=arguments.json)
    settings = settings_of(arguments.baud, arguments.framing)
    choice = record_choice(arguments)
    held = parts.open_line(port_choice(arguments, settings))
    verdict = Verdict.SILENT
    with CommandSession("listen", choice, held, parts, output) as session:
        output.started("listen", arguments.port)
        stoppable = StoppableLine(held.line, held.clock, parts.stop)
        line = _ShowingLine(stoppable, session.keep, lambda shown: output.text(*burst_lines(shown)))
        for event in listen(line, held.clock, arguments.seconds):
            if isinstance(event, ListeningEnded):
                session.keep(event)
                verdict = event.verdict
                line.show_rest()
                output.text(*ended_lines(event))
            output.event(event)
        if line.was_stopped:
            raise Failed("stopped before its time", ExitStatus.INTERRUPTED)
    return session.status(ExitStatus.NOT_FOUND if verdict is Verdict.SILENT else ExitStatus.DONE)


class _ShowingLine(PassingLine):
    """Keeps what comes, shows each burst as soon as it is decided, and takes a stop for the end of listening."""

    def __init__(self, line: StoppableLine, keep: Callable[[Heard], None], show: Callable[[ShownBurst], None]) -> None:
        super().__init__(line)
        self._keep = keep
        self._show = show
        self._bursts = LiveBursts(line.settings)
        self._latency_s = line.traits.latency_s
        self.was_stopped = False

    def write(self, data: bytes) -> Sent:
        """Refuse: who listens sends nothing."""
        raise AssertionError(f"{len(data)} bytes were to be sent while listening")

    def read(self, until_s: float) -> Arrival | None:
        """Return what comes; None at the deadline or at a stop."""
        try:
            return self._read(until_s)
        except Stopped:
            self.was_stopped = True
            return None

    def _read(self, until_s: float) -> Arrival | None:
        silent_from_s = self._bursts.silent_from_s
        if silent_from_s is not None:
            arrival = self._line.read(min(until_s, silent_from_s + self._latency_s))
            if arrival is not None:
                return self._heard(arrival)
            if silent_from_s + self._latency_s <= until_s:
                self._show_all(self._bursts.take_silence())
        arrival = self._line.read(until_s)
        return None if arrival is None else self._heard(arrival)

    def _heard(self, arrival: Arrival) -> Arrival:
        self._keep(Heard(arrival))
        self._show_all(self._bursts.take(arrival))
        return arrival

    def show_rest(self) -> None:
        """Show what is still open: nothing more comes."""
        self._show_all(self._bursts.finish())

    def _show_all(self, bursts: tuple[ShownBurst, ...]) -> None:
        for burst in bursts:
            self._show(burst)

    def discard(self) -> tuple[Arrival, ...]:
        """Take what waits."""
        return tuple(self._heard(one) for one in self._line.discard())


def ended_lines(event: ListeningEnded) -> list[str]:
    """Return who was asked what and how it was answered, and the verdict."""
    heading = [f"{count_words(len(event.frames), 'whole frame')}:"] if event.frames else []
    return [*heading, *asked_lines(event.requests, event.unasked_replies), verdict_words(event)]


def verdict_words(event: ListeningEnded) -> str:
    """Return the verdict in a sentence that does not say more than was heard."""
    seconds = duration_words(event.seconds)
    how_long = f"{seconds} at {event.settings}"
    came = count_words(event.byte_count, "byte")
    match event.verdict:
        case Verdict.SILENT:
            return f"silent for {how_long}: no client with a period under {seconds} at any speed"
        case Verdict.TRAFFIC:
            return f"traffic in {how_long}: somebody is alive here, {came}"
        case Verdict.BABBLE:
            return f"{came} in {how_long}, and no frame in them: another speed or framing, another protocol, or noise"
        case Verdict.HELD:
            return f"held at space for {how_long}: a swapped pair, or a driver that is stuck"

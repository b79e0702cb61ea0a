"""`listen`: what comes, with times and marks. Not one byte is sent."""

from __future__ import annotations

import argparse

from buswalk.bus.job_runner import StoppableLine
from buswalk.cli.exchange_words import hex_bytes, mark_words, milliseconds
from buswalk.cli.exit_status import ExitStatus
from buswalk.cli.options import add_line_options, add_settings_options, settings_of
from buswalk.cli.output import Output
from buswalk.cli.parts import Parts, WrongUse
from buswalk.domain.line.arrival import Arrival
from buswalk.domain.modbus.functions.table import function_words
from buswalk.domain.search.events import Verdict
from buswalk.jobs.listening import Heard, ListeningEnded, listen

WORDS = "listen without sending one byte"
DEFAULT_SECONDS = 10.0


def add_options(parser: argparse.ArgumentParser) -> None:
    """Add this command's options."""
    add_line_options(parser)
    add_settings_options(parser)
    parser.add_argument("--seconds", type=float, default=DEFAULT_SECONDS, help="how long, 10 if not given")


def run(arguments: argparse.Namespace, parts: Parts) -> ExitStatus:
    """Listen; done if anything was heard."""
    output = Output(parts.out, is_json=arguments.json)
    settings = settings_of(arguments.baud, arguments.framing)
    if arguments.seconds <= 0:
        raise WrongUse(f"{arguments.seconds:g} s cannot be: write a time above 0")
    ready = parts.open_line(arguments.port, settings, is_virtual=arguments.clock == "virtual")
    output.started("listen", arguments.port)
    verdict = Verdict.SILENT
    try:
        line = StoppableLine(ready.line, ready.clock, parts.stop)
        for event in listen(line, ready.clock, arguments.seconds):
            output.event(event)
            match event:
                case Heard(arrival):
                    output.text(arrival_line(arrival))
                case ListeningEnded():
                    verdict = event.verdict
                    output.text(*ended_lines(event))
    finally:
        ready.line.close()
    return ExitStatus.NOT_FOUND if verdict is Verdict.SILENT else ExitStatus.DONE


def arrival_line(arrival: Arrival) -> str:
    """Return one arrival: when at the latest, how sure, bytes, marks."""
    unsure_s = arrival.not_after_s - arrival.not_before_s
    marks = f"   [{', '.join(mark_words(mark) for mark in arrival.marks)}]" if arrival.marks else ""
    when = f"{arrival.not_after_s:9.4f} s (up to {milliseconds(unsure_s)} earlier)"
    return f"{when}  {hex_bytes(arrival.data)}{marks}"


def ended_lines(event: ListeningEnded) -> list[str]:
    """Return the verdict and the whole frames."""
    lines = [
        f"   address {frame.server_address}, function {frame.function_code & 0x7F:02X} "
        f"({function_words(frame.function_code & 0x7F)}): {hex_bytes(frame.adu)}"
        for frame in event.frames
    ]
    heading = [f"whole frames: {len(event.frames)}"] if event.frames else []
    return [*heading, *lines, verdict_words(event)]


def verdict_words(event: ListeningEnded) -> str:
    """Return the verdict in a sentence that does not say more than was heard."""
    how_long = f"{event.seconds:.0f} s at {event.settings}"
    match event.verdict:
        case Verdict.SILENT:
            return f"silent for {how_long}: no client with a period under {event.seconds:.0f} s at any speed"
        case Verdict.TRAFFIC:
            return f"traffic in {how_long}: somebody is alive here, {event.byte_count} bytes"
        case Verdict.BABBLE:
            return (
                f"{event.byte_count} bytes in {how_long}, and no frame in them: "
                "another speed, another protocol, or noise"
            )
        case Verdict.HELD:
            return f"held at space for {how_long}: a swapped pair, or a driver that is stuck"

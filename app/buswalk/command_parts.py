"""Builds what commands are handed: this computer's ports, its network, simulated lines, records."""

from __future__ import annotations

from typing import TextIO

from buswalk.board_parts import board_parts
from buswalk.bus.pace import Pace
from buswalk.bus.stop_request import StopRequest
from buswalk.bus_parts import adapter_words
from buswalk.cli.parts import ListedPort, Parts, PortChoice, ReadyLine, RecordParts, WrongUse
from buswalk.jobs.asking.write_guard import consents_on
from buswalk.lines import WrongScenario, open_line
from buswalk.storage.saved_text import save_lines
from buswalk.storage.visit_record.reader import open_record
from buswalk.wire.port_list import list_ports


def standard_parts(out: TextIO, err: TextIO, stop: StopRequest) -> Parts:
    """Return what commands work with: this computer's ports, its network, and simulated lines."""
    records = RecordParts(open_record, save_lines)
    return Parts(
        open_line=_open, list_ports=_listed, records=records, boards=board_parts(), out=out, err=err, stop=stop
    )


def _open(choice: PortChoice) -> ReadyLine:
    try:
        opened = open_line(
            choice.port, choice.settings, choice.options, Pace.VIRTUAL if choice.is_virtual else Pace.PACED
        )
    except WrongScenario as error:
        raise WrongUse(*error.problems) from error
    # Writing is possible on simulated lines only: there is nothing there to be hurt.
    return ReadyLine(opened.port, opened.line, opened.clock, consents_on(opened.line.traits), opened.open_again)


def _listed() -> tuple[ListedPort, ...]:
    return tuple(ListedPort(one.port, one.words, adapter_words(one.identity)) for one in list_ports())

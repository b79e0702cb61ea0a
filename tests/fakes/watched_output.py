"""One list of what a command kept and what it wrote, in the order in which it happened."""

from __future__ import annotations

import io
from dataclasses import replace

from buswalk.bus.parts import HeldLine
from buswalk.bus.stop_request import StopRequest
from buswalk.cli.command_line import run_command
from buswalk.cli.parts import RecordChoice
from buswalk.command_parts import standard_parts
from buswalk.domain.visit.recorder import OpenedRecord
from buswalk.domain.visit.session_events import SessionStarted
from tests.fakes.kept_record import KeptRecord


class WatchedOutput(io.StringIO):
    """A stream that writes each piece of text into the list."""

    def __init__(self, happened: list[object]) -> None:
        super().__init__()
        self._happened = happened

    def write(self, text: str) -> int:
        """Write it."""
        self._happened.append(text)
        return super().write(text)


class WatchedRecord(KeptRecord):
    """A record that notes each kept event in the list."""

    def __init__(self, happened: list[object], started: SessionStarted, fails_from: int) -> None:
        super().__init__("watched", started, fails_from)
        self._happened = happened

    def keep(self, event: object, at_s: float) -> int:
        """Keep and note it."""
        row = super().keep(event, at_s)
        self._happened.append(event)
        return row


class OpensWatchedRecords:
    """Opens records in memory; `fails_from` is the first row that cannot be kept."""

    def __init__(self, happened: list[object], fails_from: int = 0) -> None:
        self._happened = happened
        self._fails_from = fails_from

    def __call__(self, choice: RecordChoice, held: HeldLine, started: SessionStarted) -> OpenedRecord:
        """Open one."""
        return OpenedRecord(WatchedRecord(self._happened, started, self._fails_from), ())


def watched(*arguments: str, fails_from: int = 0) -> tuple[int, list[object], str]:
    """Run a command; return its exit status, what was kept and written in order, and the error stream."""
    happened: list[object] = []
    err = io.StringIO()
    parts = standard_parts(WatchedOutput(happened), err, StopRequest())
    recording = replace(parts.recording, open=OpensWatchedRecords(happened, fails_from))
    status = run_command(list(arguments), replace(parts, recording=recording))
    return int(status), happened, err.getvalue()

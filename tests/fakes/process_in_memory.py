"""A bus process whose record is in memory and whose line is simulated: for tests of what happens between processes."""

from __future__ import annotations

import time
from contextlib import nullcontext
from multiprocessing.connection import Connection

from buswalk.bus.bus_process import run_bus_process
from buswalk.bus.pace import Pace
from buswalk.bus.parts import EngineParts
from buswalk.bus_parts import OpensHeldLines, listed_ports, wall_words
from buswalk.domain.visit.recorder import OpenedRecord
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.wire.system_clock import SystemClock
from tests.fakes.kept_record import KeptRecord


def run_paced(*ends: Connection) -> None:
    """Serve with simulated time that walks."""
    run_bus_process(lambda: _parts(Pace.PACED), *ends)


def run_virtual(*ends: Connection) -> None:
    """Serve with simulated time that jumps."""
    run_bus_process(lambda: _parts(Pace.VIRTUAL), *ends)


def die_at_once(*_ends: Connection) -> None:
    """A process that cannot live."""


def _parts(pace: Pace) -> EngineParts:
    return EngineParts(
        open_line=OpensHeldLines(pace),
        list_ports=listed_ports,
        open_recorder=_open_recorder,
        look_back=lambda: (),
        keep_recording_as=lambda _recorder, _name: None,
        stay_awake=nullcontext,
        line_clock=SystemClock,
        wall_now_s=time.time,
        wall_words=wall_words,
        program="buswalk test",
    )


def _open_recorder(name: str, _adapter_id: str, started: SessionStarted) -> OpenedRecord:
    return OpenedRecord(KeptRecord(name, started), ())

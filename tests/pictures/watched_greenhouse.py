"""Some minutes of a watch on the demo line, told by the real engine, and its record in a file to be asked."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from functools import cache
from pathlib import Path

from buswalk.bus.analysis_process import Analysis, Answer, NoAnswer, Question
from buswalk.bus.messages import Hand, Kept, RecordTold, StartWatch, StreamItem, UseHand
from buswalk.bus.queries import Calculation, Query
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import PlanKept, PortClosed, SessionStarted
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from buswalk.ui.pages.faults.page import FaultsPage
from tests.bus.engine_bench import EngineBench
from tests.fakes.demo_items import DEMO, demo_items, readable

SHOWN_DEVICE = 21
"""The running plant damages a reply of it: see the story of the scenario."""
MOST_STEPS = 50
EXCHANGES = 900
FAN_ON, FAN_OFF = 300, 600


@cache
def watched_items() -> tuple[StreamItem, ...]:
    """Return what is said of the watch, the fan running in its midst; the record is told last."""
    bench, asked = EngineBench(), [0]

    def on_event(event: object) -> None:
        asked[0] += isinstance(event, ExchangeDone)
        if isinstance(event, ExchangeDone):
            if asked[0] in (FAN_ON, FAN_OFF):
                bench.meanwhile(UseHand(Hand.PLANT_ON if asked[0] == FAN_ON else Hand.PLANT_OFF))
            if asked[0] == EXCHANGES:
                bench.engine.stop()

    bench.on_event = on_event
    said = [readable(one) for one in bench.run(DEMO, StartWatch(WatchPlan(_devices(), period_s=1.0, listen_s=2.0)))]
    kept = [one for one in said if isinstance(one, Kept) and not isinstance(one.event, PortClosed)]
    path = _record_of(kept)
    return (*kept, RecordTold(RecordState("greenhouse", str(path), EXCHANGES, is_simulated=True)))


def _devices() -> tuple[WatchedDevice, ...]:
    plans = [one.event.devices for one in demo_items() if isinstance(one, Kept) and isinstance(one.event, PlanKept)]
    return tuple(
        WatchedDevice(one.server_address, one.settings, ReadHoldingRegisters(0, 2))
        for one in plans[-1]
        if one.settings is not None
    )


def _record_of(kept: list[Kept]) -> Path:
    """Write what was kept into a file: the bench keeps its records in memory."""
    path = Path(tempfile.mkdtemp(prefix="buswalk-picture-")) / "greenhouse.buswalk.sqlite"
    recorder = open_visit_record(path, is_simulated=True)
    for one in kept:
        if isinstance(one.event, SessionStarted):
            recorder.begin(one.event)
        else:
            recorder.keep(one.event, one.at_s)
    recorder.close()
    return path


def show_damage(page: FaultsPage) -> None:
    """Walk back to a damaged reply of the shown device."""
    page.presenter.choose_device(SHOWN_DEVICE)
    for _ in range(MOST_STEPS):
        exchange = page.presenter.state.exchange
        if exchange is not None and exchange.title.endswith("damaged"):
            return
        page.presenter.walk_device(-1)


class ReadsWatched:
    """The analysis process, in this one."""

    def __init__(self) -> None:
        self._analysis = Analysis(_opened)

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Answer at once."""
        match self._analysis.answer(Question(1, path, query)):
            case Answer(value=value):
                take(value)
            case NoAnswer(sentence=sentence):
                refused(sentence)

    def calculate(
        self, calculation: Calculation, take: Callable[[object], None], refused: Callable[[str], None]
    ) -> None:
        """Never asked."""


def _opened(path: str) -> RecordReader:
    return open_record(Path(path))

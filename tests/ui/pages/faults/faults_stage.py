"""A small record in a file, the analysis process in this one, and the page Faults in the real window."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

from pytestqt.qtbot import QtBot

from buswalk.bus.analysis_process import Analysis, Answer, NoAnswer, Question
from buswalk.bus.messages import RecordTold, StreamItem
from buswalk.bus.queries import Query
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import BytesBefore
from buswalk.domain.modbus.outcome import CorruptReply, ShortReply
from buswalk.domain.preferences import PaletteChoice, Preferences
from buswalk.domain.record_reader import RecordReader
from buswalk.domain.search.events import Found
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    MarkMade,
    MarkSource,
    PlanKept,
    PortFailed,
    PortReturned,
    SessionStarted,
)
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.faults.faults_state import FaultsState
from buswalk.ui.pages.faults.page import FaultsPage
from buswalk.ui.pages.faults.presenter import FaultsPresenter
from buswalk.ui.pages.faults.view import FaultsView
from buswalk.ui.pages.faults.ways import FaultWays, FileKind
from buswalk.ui.pages.page import Page, ShellActions
from buswalk.ui.sounds import Sounds
from tests.fakes.exchanges import ExchangeMaker
from tests.fakes.paged_window import PagedWindow
from tests.fakes.sent_commands import SentCommands
from tests.fakes.told_line import USUAL, WALL_TIME, copper_opened, found, kept

PLAN = (
    PlannedDevice(1, 11, "controller of bay 1", USUAL),
    PlannedDevice(2, 22, "air, bay 1 south", USUAL),
    PlannedDevice(3, 24, "air, bay 2 south", USUAL),
)
ROUNDS = 40
MARK = MarkMade("fan 1 on", MarkSource.USER, 10.0, EndsAt(20.0))


@dataclass(frozen=True, slots=True)
class Injected:
    """What the record is made to hold, counted while it is made."""

    asked: int
    damaged: int
    short: int
    stray: int
    silent: int
    late: int


def write_record(path: Path, *, is_simulated: bool = False, rounds: int = ROUNDS) -> Injected:
    """Write a watch of 11, 22 and 24, and a search before it; return what was put in."""
    recorder = open_visit_record(path, is_simulated=is_simulated)
    recorder.begin(SessionStarted(WALL_TIME, 1.0, is_simulated=is_simulated, program="buswalk test"))
    recorder.keep(PlanKept(PLAN, 0.0), 0.0)
    maker = ExchangeMaker()
    recorder.keep(JobStarted(1, "search", 0.0), 0.0)
    for address in (7, 8, 9):
        recorder.keep(ExchangeDone(maker.silent(address, 0.06)), maker.now_s)
    recorder.keep(found(11), maker.now_s)
    recorder.keep(JobEnded(1, "search", JobEndKind.FINISHED, "", maker.now_s), maker.now_s)
    recorder.keep(JobStarted(2, "watch", maker.now_s), maker.now_s)
    counts = dict.fromkeys(("damaged", "short", "stray", "silent", "late"), 0)
    for one in range(rounds):
        recorder.keep(ExchangeDone(maker.answered(11)), maker.now_s)
        exchange, kind = _of_22(maker, one)
        recorder.keep(ExchangeDone(exchange), maker.now_s)
        if kind:
            counts[kind] += 1
        silent = maker.silent(24)
        recorder.keep(ExchangeDone(silent), maker.now_s)
        counts["silent"] += 1
        if one == rounds - 1:
            reply = maker.answered(24).received
            late = LateReply(24, (silent.number,), reply, maker.now_s, Credit.CREDITED)
            recorder.keep(late, maker.now_s)
            counts["late"] += 1
            counts["silent"] -= 1
    recorder.keep(MARK, maker.now_s)
    recorder.keep(PortFailed("COM5", "the adapter of COM5 is gone", 12.0), 12.0)
    recorder.keep(PortReturned("COM5", 2.0, 14.0), 14.0)
    recorder.keep(JobEnded(2, "watch", JobEndKind.STOPPED, "", maker.now_s), maker.now_s)
    recorder.close()
    return Injected(3 * rounds, **counts)


def _of_22(maker: ExchangeMaker, round_number: int) -> tuple[Exchange, str]:
    """Device 22 has a stray byte in every fourth reply, one damaged one and one that is cut short."""
    good = maker.answered(22)
    if round_number == 17:
        wrong = bytes([good.received[0] ^ 4]) + good.received[1:]
        return _came(good, wrong, CorruptReply(wrong, 7)), "damaged"
    if round_number == 25:
        return _came(good, good.received[:3], ShortReply(good.received[:3], 7)), "short"
    if round_number % 4 == 0:
        before = b"\xfe"
        arrivals = (replace(good.arrivals[0], data=before + good.received),)
        return replace(good, arrivals=arrivals, observations=(BytesBefore(before),)), "stray"
    return good, ""


def _came(exchange: Exchange, data: bytes, outcome: CorruptReply | ShortReply) -> Exchange:
    return replace(exchange, arrivals=(replace(exchange.arrivals[0], data=data),), outcome=outcome)


class AnswersAtOnce:
    """The analysis process, in this one: real readers on real files. `holds` keeps questions back."""

    def __init__(self) -> None:
        self._analysis = Analysis(_opened)
        self.asked: list[Query] = []
        self.holds = False
        self._held: list[Callable[[], None]] = []

    def __call__(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        self.asked.append(query)

        def answer() -> None:
            match self._analysis.answer(Question(1, path, query)):
                case Answer(value=value):
                    take(value)
                case NoAnswer(sentence=sentence):
                    refused(sentence)

        if self.holds:
            self._held.append(answer)
        else:
            answer()

    def let_go(self) -> None:
        """Answer what was kept back."""
        held, self._held = self._held, []
        for one in held:
            one()

    def close(self) -> None:
        self._analysis.close()


def _opened(path: str) -> RecordReader:
    return open_record(Path(path))


class FaultsStage:
    """A presenter, what it sends and asks, and files that are chosen for it."""

    def __init__(self, commands: Commands | None = None) -> None:
        self.ask = AnswersAtOnce()
        self.to_open = ""
        self.exports: list[tuple[str, FileKind, FaultFilter]] = []
        self.commands = SentCommands()
        self.page = FaultsPage(commands or self.commands, FaultWays(self.ask, lambda: self.to_open, self._export))

    @property
    def presenter(self) -> FaultsPresenter:
        """The page's presenter."""
        return self.page.presenter

    def _export(self, path: str, kind: FileKind, wanted: FaultFilter, take: Callable[[str], None]) -> str:
        self.exports.append((path, kind, wanted))
        take("saved as faults.csv")
        return "faults.csv"

    def play(self, *items: StreamItem) -> None:
        """Let the page take these."""
        for one in items:
            self.page.take(one)

    def open_live(self, path: Path, *events: object) -> None:
        """A port is open and this is the record being written."""
        self.play(*copper_opened(), *kept(PlanKept(PLAN, 0.0), *events), told(path))


class Opened:
    """A stage on a record that is being written."""

    def __init__(self, folder: Path) -> None:
        self.path = folder / "visit.buswalk.sqlite"
        self.injected: Injected = write_record(self.path)
        self.stage = FaultsStage()
        self.stage.open_live(self.path)
        self.presenter = self.stage.presenter

    @property
    def state(self) -> FaultsState:
        """The page as it is now."""
        return self.presenter.state

    def row(self, address: int) -> tuple[str, ...]:
        """The words of a device's row."""
        return next(tuple(cell.words for cell in row) for row in self.state.rows if row[0].words == str(address))


def told(path: Path, exchanges: int = 10) -> RecordTold:
    """The record that is being written."""
    return RecordTold(RecordState(path.name, str(path), exchanges, is_simulated=False))


def found_11() -> Found:
    """Device 11 answers."""
    return found(11)


class FaultsWindow(PagedWindow):
    """The real window with Line, Plan and Faults."""

    def __init__(self, qtbot: QtBot, preferences: Preferences = Preferences(PaletteChoice.LIGHT)) -> None:  # noqa: B008
        super().__init__(qtbot, preferences)

    def _make(self, commands: Commands, actions: ShellActions, sounds: Sounds) -> Sequence[Page]:
        self.stage = FaultsStage(commands)
        line, plan = super()._make(commands, actions, sounds)
        return line, self.stage.page, plan

    @property
    def faults_view(self) -> FaultsView:
        """The view of Faults that is shown."""
        view = self.window.findChild(FaultsView)
        assert isinstance(view, FaultsView)
        return view


def facts_exchanges(path: Path) -> int:
    """Return how many exchanges are in a record."""
    with closing(open_record(path)) as reader:
        return reader.facts().exchanges

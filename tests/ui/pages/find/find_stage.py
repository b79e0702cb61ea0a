"""A search presenter with fakes around it, and streams that a real engine made on simulated lines in virtual time."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache

from buswalk.bus.messages import Command, Done, Kept, OpenPort, StartListening, StartSearch, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.search.events import Doubt, Found, Identity, SearchEnd, SearchEnded, SearchPlan
from buswalk.domain.visit.session_events import JobEnded, JobStarted, SessionStarted
from buswalk.ui.pages.find.search_outlets import SearchOutlets
from buswalk.ui.pages.find.search_presenter import SearchPresenter
from buswalk.ui.pages.job_desk import JobDesk
from tests.bus.engine_bench import EngineBench
from tests.fakes.sent_commands import SentCommands

WALL_TIME = "2026-03-02T09:15:00+01:00"
PLAIN = SerialSettings.of(9600, "8N1")
ASKED_AS_PLAIN = SerialSettings.of(9600, "8N2")
GREENHOUSE = OpenPort("demo:greenhouse-first-day", PLAIN)
PLANNED = frozenset({11, 14, 21, 22, 23, 24, 31, 32, 41, 45, 51})
GREENHOUSE_PLAN = SearchPlan(
    addresses=(*sorted(PLANNED | {1, 56}), *range(90, 120)),
    settings={
        SerialSettings.of(9600, "8N2"): 0.6,
        SerialSettings.of(19200, "8E1"): 0.2,
        SerialSettings.of(9600, "8E1"): 0.1,
        SerialSettings.of(4800, "8N2"): 0.1,
    },
    planned=PLANNED,
)

NO_IDENTITY = Identity()
FEW = SearchPlan(addresses=(11, 12, 13), settings={ASKED_AS_PLAIN: 1.0}, listen_s=0.0)


def _said(*commands: Command) -> tuple[StreamItem, ...]:
    """Return what an engine says while it carries out commands; its clock shows a quarter past nine."""
    return tuple(at_a_time(item) for item in EngineBench().run(*commands))


def at_a_time(item: StreamItem) -> StreamItem:
    """Return an item whose session began at a known time of day."""
    if isinstance(item, Kept) and isinstance(item.event, SessionStarted):
        return replace(item, event=replace(item.event, wall_time=WALL_TIME))
    return item


@lru_cache(maxsize=1)
def opened_stream() -> tuple[StreamItem, ...]:
    """Return what an engine says of a port that it takes, up to the end of that command."""
    items = _said(GREENHOUSE)
    return items[: [type(item) for item in items].index(Done) + 1]


@lru_cache(maxsize=1)
def listened_stream() -> tuple[StreamItem, ...]:
    """Return the stream of 10 s of listening on a quiet line."""
    return _said(GREENHOUSE, StartListening(10.0, PLAIN))


@lru_cache(maxsize=1)
def living_stream() -> tuple[StreamItem, ...]:
    """Return the stream of a search on a line where another client asks every two seconds."""
    plan = SearchPlan((37,), {ASKED_AS_PLAIN: 1.0})
    return _said(OpenPort("demo:another-client", PLAIN), StartSearch(plan))


@lru_cache(maxsize=1)
def greenhouse_stream() -> tuple[StreamItem, ...]:
    """Return the stream of a search of the greenhouse on its first day, near the places where devices are."""
    return _said(GREENHOUSE, StartSearch(GREENHOUSE_PLAN))


def until(stream: Sequence[StreamItem], kind: type[object], count: int = 1) -> tuple[StreamItem, ...]:
    """Return the stream up to and including the `count`th event of a kind."""
    left = count
    for i, item in enumerate(stream):
        if isinstance(item, Kept) and isinstance(item.event, kind):
            left -= 1
            if left == 0:
                return tuple(stream[: i + 1])
    raise AssertionError(f"the stream has fewer than {count} {kind.__name__}")


class FindStage:
    """Desk and presenter of Search; keeps what was sent, saved and asked for."""

    def __init__(self) -> None:
        self.commands = SentCommands()
        self.desk = JobDesk(self.commands)
        self.ports_asked = 0
        self.saved: list[tuple[str, str]] = []
        self.pinged: list[int] = []
        self.search = SearchPresenter(
            self.desk, SearchOutlets(choose_port=self._choose_port, save_csv=self._save, ping=self.pinged.append)
        )

    def play(self, stream: Sequence[StreamItem]) -> FindStage:
        """Take items in order, as the page does, and the time of the last one; return itself."""
        for item in stream:
            self.desk.take(item)
            self.search.take(item)
        times = [item.at_s for item in stream if isinstance(item, Kept)]
        if times:
            self.search.tick(times[-1])
        return self

    def keep(self, *events: object, at_s: float = 0.0) -> FindStage:
        """Take events as if they had been kept now; return itself."""
        return self.play([Kept(0, event, at_s) for event in events])

    def searching(self, plan: SearchPlan) -> FindStage:
        """Know the plan of a search that is about to begin, as if the user had begun it; return itself."""
        self.search.board.begin(plan)
        return self

    def _choose_port(self) -> None:
        self.ports_asked += 1

    def _save(self, name: str, text: str) -> str:
        self.saved.append((name, text))
        return f"saved as {name}.csv"


def opened() -> FindStage:
    """A stage with an open port, nothing asked."""
    return FindStage().play(opened_stream())


def greenhouse(kind: type[object] = JobEnded, count: int = 1) -> FindStage:
    """A stage that has seen the search of the greenhouse up to an event."""
    return (
        FindStage()
        .play(until(greenhouse_stream(), JobStarted)[:-1])
        .searching(GREENHOUSE_PLAN)
        .play(until(greenhouse_stream(), kind, count)[len(until(greenhouse_stream(), JobStarted)) - 1 :])
    )


def found(address: int, *doubts: Doubt, function: int = 3, identity: Identity = NO_IDENTITY) -> Found:
    """A device that was found at 9600 baud without parity."""
    return Found(
        address,
        ASKED_AS_PLAIN,
        function,
        is_refusal=False,
        answered=2,
        confirmations=2,
        doubts=doubts,
        identity=identity,
        exchange_numbers=(1, 2),
    )


def asking(*events: object) -> FindStage:
    """A stage whose search has asked its first request already."""
    first = until(greenhouse_stream(), ExchangeDone)[-1]
    stage = opened().searching(FEW).keep(JobStarted(1, "search", 0.0)).play([first])
    return stage.keep(*events)


def ended(end: SearchEnd = SearchEnd.ALL_ASKED, sentence: str = "all was asked") -> SearchEnded:
    """The end of a search."""
    return SearchEnded(end, 6, 0, 1.0, sentence)

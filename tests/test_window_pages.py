"""What the pages of the window are handed: rows that a slow window missed are read back from the record."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.messages import Batch, Kept, RecordTold, Skipped
from buswalk.bus.queries import Query, ReadEvents
from buswalk.domain.line_events import StrayArrival
from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import MarkMade, MarkSource
from buswalk.ui.sounds import Silence
from buswalk.window_pages import WindowPages
from tests.fakes.every_event import STRAY

TOLD = RecordTold(RecordState("visit", "folder/visit.buswalk.sqlite", 10, is_simulated=False))
MARK = MarkMade("fan on", MarkSource.USER, 3.0)


class AnswersAtOnce:
    """An analysis process that answers in the same moment."""

    def __init__(self, rows: tuple[RecordedEvent, ...]) -> None:
        self.asked: list[tuple[str, Query]] = []
        self._rows = rows

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        self.asked.append((path, query))
        take(self._rows)


def batch(*items: RecordTold | Skipped) -> Batch:
    return Batch(4.0, 1.0, is_walking=True, items=items)


def test_findings_that_were_skipped_are_read_back_and_traffic_is_not() -> None:
    rows = (RecordedEvent(7, 1, StrayArrival(STRAY), 2.0), RecordedEvent(8, 1, MARK, 3.0))
    analysis = AnswersAtOnce(rows)
    pages = WindowPages(analysis, Silence())
    offered: list[Batch] = []

    pages.take(batch(TOLD))
    pages.read_back(batch(Skipped(7, 2)), offered.append)

    assert analysis.asked == [("folder/visit.buswalk.sqlite", ReadEvents(7, 2))]
    assert [item for one in offered for item in one.items] == [Kept(8, MARK, 3.0)]


def test_where_nothing_is_recorded_nothing_is_read_back() -> None:
    analysis = AnswersAtOnce(())
    pages = WindowPages(analysis, Silence())

    pages.read_back(batch(Skipped(7, 2)), lambda _batch: None)

    assert analysis.asked == []

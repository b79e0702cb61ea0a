"""Rows that a slow window missed are read back from the record."""

from __future__ import annotations

from buswalk.bus.messages import Batch, Kept, RecordTold, Skipped, StreamItem
from buswalk.bus.queries import ReadEvents
from buswalk.domain.line_events import StrayArrival
from buswalk.domain.record_reader import RecordedEvent
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import MarkMade, MarkSource
from buswalk.record_in_use import RecordInUse
from tests.fakes.analysis_at_once import AnswersAtOnce
from tests.fakes.every_event import STRAY

TOLD = RecordTold(RecordState("visit", "folder/visit.buswalk.sqlite", 10, is_simulated=False))
MARK = MarkMade("fan on", MarkSource.USER, 3.0)


def batch(*items: StreamItem) -> Batch:
    return Batch(4.0, 1.0, is_walking=True, items=items)


def test_findings_that_were_skipped_are_read_back_and_traffic_is_not() -> None:
    rows = (RecordedEvent(7, 1, StrayArrival(STRAY), 2.0), RecordedEvent(8, 1, MARK, 3.0))
    analysis = AnswersAtOnce(rows)
    record = RecordInUse(analysis)
    offered: list[Batch] = []

    record.take(batch(TOLD))
    record.read_back(batch(Skipped(7, 2)), offered.append)

    assert analysis.asked == [("folder/visit.buswalk.sqlite", ReadEvents(7, 2))]
    assert [item for one in offered for item in one.items] == [Kept(8, MARK, 3.0)]


def test_where_nothing_is_recorded_nothing_is_read_back() -> None:
    analysis = AnswersAtOnce(())
    record = RecordInUse(analysis)

    record.read_back(batch(Skipped(7, 2)), lambda _batch: None)

    assert analysis.asked == []

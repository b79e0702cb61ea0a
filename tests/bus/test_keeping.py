"""The keeping of a session where its record fails: said once, nothing pretended, the file given back."""

from __future__ import annotations

from buswalk.bus.keeping import Keeping, KeepingEnds, session_started
from buswalk.bus.messages import Kept
from buswalk.domain.visit.recorder import RecordState
from buswalk.domain.visit.session_events import MarkMade, MarkSource
from tests.fakes.jumping_clock import JumpingClock
from tests.fakes.kept_record import KeptRecord

STARTED = session_started(None, "2026-03-05T08:12:00.000+01:00", "buswalk test")
MARK = MarkMade("tightened terminal 4", MarkSource.USER, 1.0)


class Bench:
    """A keeping over a record in memory, and what it says."""

    def __init__(self, fails_from: int = 0) -> None:
        self.record = KeptRecord("COM7", STARTED, fails_from)
        self.shown: list[Kept] = []
        self.told: list[RecordState] = []
        self.wall_s = 1_000.0
        ends = KeepingEnds(self.shown.append, self.told.append, lambda: self.wall_s)
        self.keeping = Keeping(self.record, JumpingClock(), ends)


def test_what_cannot_be_kept_is_shown_without_a_row() -> None:
    bench = Bench(fails_from=2)

    bench.keeping.begin(STARTED, ())
    bench.keeping.keep(MARK)
    bench.keeping.keep(MARK)

    assert [(one.row, one.event) for one in bench.shown] == [(1, STARTED), (0, MARK), (0, MARK)]
    assert [one.problem for one in bench.told] == ["", "the disk is full: make room, then open the port again"]


def test_a_record_that_has_failed_is_given_back_all_the_same() -> None:
    bench = Bench(fails_from=1)
    bench.keeping.begin(STARTED, ())

    bench.keeping.close()

    assert bench.record.is_closed
    assert bench.keeping.record.problem


def test_a_record_is_settled_every_five_seconds_by_the_wall() -> None:
    bench = Bench()

    for wall_s in (1_004.0, 1_005.0, 1_009.0, 1_010.5):
        bench.wall_s = wall_s
        bench.keeping.settle_if_due()

    assert bench.record.settled == 2


def test_a_record_that_has_failed_is_not_settled() -> None:
    bench = Bench(fails_from=1)
    bench.keeping.begin(STARTED, ())
    bench.wall_s += 60.0

    bench.keeping.settle_if_due()

    assert bench.record.settled == 0

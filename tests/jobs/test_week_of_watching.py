"""A week of watching in virtual time: what is told goes to the disk, and the memory of the program stays as it was."""

from __future__ import annotations

import gc
from contextlib import closing
from pathlib import Path

import pytest

from buswalk.bus.messages import Kept
from buswalk.domain.line_events import LineEvent
from buswalk.domain.statistics.fault_report import FaultWish
from buswalk.domain.statistics.live_faults import LiveFaultCounter
from buswalk.domain.visit.session_events import JobStarted, SessionStarted
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.watching import Watch
from buswalk.storage.visit_record.recorder import open_visit_record
from buswalk.ui.pages.faults.watch_desk import WatchDesk
from buswalk.ui.timer_desk import no_timers
from simulated_line.clocks import VirtualClock
from tests.fakes.asked_site import N81, shipped_site
from tests.fakes.sent_commands import SentCommands
from tests.fakes.watched_line import READ

DAY_S = 86_400.0
DAYS = 7
PERIOD_S = 10.0
PAGE_BYTES = 4096
MOST_GROWN_MB = 4.0
"""From the end of the first day to that of the last one: what the allocator keeps back differs by some pages."""
LEAST_BYTES_AN_EXCHANGE = 100
STATM = Path("/proc/self/statm")


@pytest.mark.long
@pytest.mark.skipif(not STATM.exists(), reason="the memory of a process is read as Linux tells it")
def test_a_week_of_watching_grows_on_the_disk_only(tmp_path: Path) -> None:
    """A device that is slower than the wait now and then, asked every 10 s: 60 480 exchanges, a third of them late."""
    path = tmp_path / "week.buswalk.sqlite"
    week = Week(path)

    week.run()

    assert week.asked >= 60_000
    assert 0 < week.not_clean < week.asked
    assert max(week.resident_mb[1:]) - week.resident_mb[0] < MOST_GROWN_MB, week.resident_mb
    assert path.stat().st_size > LEAST_BYTES_AN_EXCHANGE * week.asked


class Week:
    """A watch that is recorded and counted, and the page's desk that follows it; looked at once a day."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._counter = LiveFaultCounter(FaultWish(keep=0))
        self._evidence = Evidence()
        self._desk = WatchDesk(SentCommands(), no_timers())
        self.resident_mb: list[float] = []

    def run(self) -> None:
        """Watch for a week."""
        site = shipped_site("slow-device")
        clock = VirtualClock(site.timeline)
        line = site.open_line("demo", N81, clock.keep_pace)
        device = WatchedDevice(37, N81, READ)
        with closing(open_visit_record(self._path, is_simulated=True)) as recorder:
            recorder.begin(SessionStarted("2026-03-05T08:00:00+00:00", 1.0, is_simulated=True, program="buswalk test"))
            recorder.keep(JobStarted(1, "watch", 0.0), 0.0)

            def take(event: LineEvent) -> None:
                recorder.keep(event, clock.now_s())
                self._counter.take(event)
                self._evidence(event)
                self._desk.take(Kept(1, event, clock.now_s()))

            asker = Asker(line, clock, take)
            plan = WatchPlan((device,), PERIOD_S, listen_s=0.0)
            for event in Watch(asker, self._evidence, plan, lambda: clock.now_s() >= DAYS * DAY_S).run():
                recorder.keep(event, clock.now_s())
                if clock.now_s() >= (len(self.resident_mb) + 1) * DAY_S:
                    self._look()
        self._look()
        line.close()

    def _look(self) -> None:
        gc.collect()
        self.resident_mb.append(int(STATM.read_text().split()[1]) * PAGE_BYTES / 1e6)

    @property
    def asked(self) -> int:
        """All exchanges."""
        return self._counter.rows()[0].asked

    @property
    def not_clean(self) -> int:
        """Those that were not."""
        return self._counter.rows()[0].not_clean

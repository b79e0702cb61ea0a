"""Figures that are taken part by part are those that one pass over the record gives; long sums are done beside."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest
from scipy.stats import beta, fisher_exact  # type: ignore[import-untyped]

from buswalk.bus.fault_queries import CountAroundMark, ReadVisitSummary, TallyDevice
from buswalk.bus.fault_sums import JudgeContrast, LimitShares, claim_stands, share_limit
from buswalk.domain.statistics.device_quality import DeviceTally
from buswalk.domain.statistics.fault_filter import ALL, FaultFilter
from buswalk.domain.statistics.fault_report import FaultCounter, FaultWish, late_by_exchange
from buswalk.domain.statistics.fault_rows import fault_rows
from buswalk.domain.statistics.mark_contrast import contrast, outside_of
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.statistics.two_by_two import TwoByTwo
from buswalk.domain.visit.marks import mark_span
from buswalk.storage.visit_record.reader import open_record
from tests.fakes.told_line import USUAL
from tests.ui.pages.faults.faults_stage import write_record

WATCH = FaultFilter(jobs=frozenset({"watch"}))


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """A watch of three devices."""
    path = tmp_path / "visit.buswalk.sqlite"
    write_record(path)
    return path


def test_a_summary_tells_what_a_record_is_about(record: Path) -> None:
    with closing(open_record(record)) as reader:
        summary = ReadVisitSummary().answer(reader)

    assert summary.facts.exchanges == 123
    assert summary.settings == (USUAL,)
    assert list(summary.job_names.values()) == ["search", "watch"]
    assert [one.words for one in summary.marks] == ["fan 1 on"]
    assert [one.server_address for one in summary.found] == [11]


def test_parts_come_to_the_same_as_one_pass(record: Path) -> None:
    with closing(open_record(record)) as reader:
        counter = FaultCounter(FaultWish(frozenset({22})), late_by_exchange(reader.late_replies()))
        for event in reader.events(1, 10_000):
            counter.take(event)
        (whole,) = counter.report().devices
        jobs = tuple(ReadVisitSummary().answer(reader).job_names.items())
        part = TallyDevice(DeviceTally(22), 22, ALL, jobs, at_once=7).answer(reader)
        parts = 1
        while not part.is_whole:
            part = TallyDevice(part.tally, 22, ALL, jobs, part.counted_to, 7).answer(reader)
            parts += 1

    assert parts == 40 // 7 + 1
    assert part.quality == whole


def test_a_filter_of_jobs_is_heeded(record: Path) -> None:
    with closing(open_record(record)) as reader:
        jobs = tuple(ReadVisitSummary().answer(reader).job_names.items())
        watched = TallyDevice(DeviceTally(7), 7, WATCH, jobs).answer(reader)
        every = TallyDevice(DeviceTally(7), 7, ALL, jobs).answer(reader)

    assert (watched.quality.row.asked, every.quality.row.asked) == (0, 1)


def test_limits_are_those_of_scipy(record: Path) -> None:
    """Clopper and Pearson, one-sided 95 %."""
    with closing(open_record(record)) as reader:
        (limit,) = LimitShares(((12, 40),)).answer(reader)

    assert limit.upper == pytest.approx(beta.ppf(0.95, 13, 28), abs=1e-9)
    assert limit.lower == pytest.approx(beta.ppf(0.05, 12, 29), abs=1e-9)


@pytest.mark.parametrize(("trials", "more"), [(1, (298, 2994, 29_955)), (299, (0, 2696, 29_657))])
def test_claims_need_the_known_counts(trials: int, more: tuple[int, ...]) -> None:
    """1 - 0.05^(1/n) falls below 1, 0.1 and 0.01 % at 299, 2995 and 29 956."""
    assert tuple(one.more for one in claim_stands(share_limit(0, trials))) == more


def test_what_is_disproved_is_not_reckoned_further() -> None:
    """Reckoning how many clean requests would outweigh 25 000 faults takes seconds, and helps nobody."""
    stands = claim_stands(share_limit(25_000, 50_000))

    assert all(one.over == stands[0].over > 0.49 for one in stands)


def test_a_contrast_is_judged_as_by_scipy(record: Path) -> None:
    with closing(open_record(record)) as reader:
        judged = JudgeContrast(TwoByTwo(12, 68, 3, 197)).answer(reader)

    _, p = fisher_exact([[12, 68], [3, 197]])
    assert judged.chance == pytest.approx(p, rel=1e-6)


def test_inside_and_outside_of_a_mark_leave_out_its_edges_only(record: Path) -> None:
    with closing(open_record(record)) as reader:
        summary = ReadVisitSummary().answer(reader)
        counts = CountAroundMark(WATCH, mark_span(summary.marks[0]), (1,)).answer(reader)

    table = contrast(fault_rows([counts.inside]), fault_rows([counts.outside]))
    assert 120 - 2 <= table.inside + table.outside <= 120
    assert table.not_clean_inside > 0 < table.not_clean_outside


def test_outside_is_all_other_sessions_and_both_sides() -> None:
    assert outside_of(MarkedSpan(2, 10.0, 20.0), (1, 2)) == (
        MarkedSpan(1, 0.0),
        MarkedSpan(2, 0.0, 10.0),
        MarkedSpan(2, 20.0),
    )
    assert outside_of(MarkedSpan(1, 0.0), (1,)) == ()

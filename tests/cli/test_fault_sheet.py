"""What stands on the printed page of `faults`, before it is drawn."""

from __future__ import annotations

from contextlib import closing
from dataclasses import replace
from pathlib import Path

from buswalk.cli.fault_counting import Listed, counted_report
from buswalk.cli.fault_filter_options import Looked
from buswalk.cli.fault_sheet import fault_sheet
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.observation import ForeignFrame
from buswalk.domain.modbus.outcome import ShortReply
from buswalk.domain.record_export import Unreadable
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.storage.visit_record.reader import open_record
from tests.cli.test_faults import made
from tests.fakes.every_event import FOREIGN, NORMAL, SIMULATED, exchange

BUT_SEARCHES = Looked(FaultFilter(but_jobs=frozenset({"search"})), (), ())


def printed(path: Path) -> list[str]:
    """Return all paragraphs of the page."""
    with closing(open_record(path)) as reader:
        report = counted_report(reader, BUT_SEARCHES, Listed(10), Unreadable())
        sheet = fault_sheet(reader.facts(), BUT_SEARCHES, report, (), reader)
    return [line for part in sheet.parts for line in part.paragraphs]


def test_frames_of_others_that_repeat_are_one_line_of_a_case(tmp_path: Path) -> None:
    """A client that retries beside us filled a page with the same line."""
    one = replace(exchange(2, ShortReply(b"\x25", 7), 2.0), observations=(ForeignFrame(FOREIGN),) * 22)
    path = tmp_path / "x.buswalk.sqlite"
    made(path, SIMULATED, ExchangeDone(exchange(1, NORMAL, 1.0)), ExchangeDone(one), is_simulated=True)

    lines = [line for line in printed(path) if "whole frame" in line]

    assert len(lines) == 1
    assert lines[0].endswith(" (22 times)")


def test_the_page_says_that_searches_are_not_counted(tmp_path: Path) -> None:
    path = tmp_path / "x.buswalk.sqlite"
    made(path, SIMULATED, ExchangeDone(exchange(1, ShortReply(b"\x25", 7), 1.0)), is_simulated=True)

    assert "Not counted: search; nobody is expected at most of what it asks." in printed(path)

"""The whole way from the pair to the log: watched, recorded, asked of the record, and compared with what truly came.

Truth is told by the bytes that the port handed over, compared with the one right reply, and by when they began.
"""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

import pytest

from buswalk.domain.record_faults import AbnormalPage
from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.fault_filter import ALL, FaultKind
from buswalk.domain.statistics.fault_kinds import kinds_of
from buswalk.domain.statistics.fault_rows import fault_rows
from buswalk.domain.statistics.reduction import counted_exchange
from buswalk.domain.visit.mark_end import EndsAt
from buswalk.domain.visit.session_events import MarkMade, MarkSource
from buswalk.storage.visit_record.reader import open_record
from simulated_line.site import SimulatedSite
from tests.cli.test_faults import made
from tests.fakes.asked_site import EXAMPLE, shipped_site, written_site
from tests.fakes.command_in_process import ran
from tests.fakes.every_event import SIMULATED
from tests.fakes.watched_line import EXAMPLE_REPLY, Asked, WatchedLine, example_plan

WAIT_S = 0.5
LITTLE_NOISE = "\n[line]\nbit_error_rate = 1e-4\n"
"""Of some 145 bits in an exchange of 8 and 7 characters about 1.4 % are hit somewhere."""


def true_kinds(asked: Asked, latency_s: float) -> frozenset[FaultKind]:
    """Return what became of a request, without help of the program."""
    if asked.came == EXAMPLE_REPLY:
        is_late = asked.first_s - asked.sent.end_not_after_s > WAIT_S + latency_s
        return frozenset({FaultKind.LATE} if is_late else ())
    if not asked.came:
        return frozenset({FaultKind.NO_REPLY})
    if EXAMPLE_REPLY in asked.came:
        return frozenset({FaultKind.STRAY})
    return frozenset({FaultKind.SHORT if len(asked.came) < len(EXAMPLE_REPLY) else FaultKind.DAMAGED})


def recorded(folder: Path, watched: WatchedLine) -> str:
    return made(folder / "visit.buswalk.sqlite", SIMULATED, *watched.line_events, is_simulated=True)


def listed(file: str) -> tuple[RecordedExchange, ...]:
    with closing(open_record(Path(file))) as reader:
        return reader.abnormal_exchanges(AbnormalPage(limit=1000))


def site_of(name: str, folder: Path) -> SimulatedSite:
    return written_site(folder, LITTLE_NOISE + EXAMPLE) if name == "noise 1e-4" else shipped_site(name)


@pytest.mark.parametrize(
    ("name", "exchanges", "least"),
    [
        ("noise 1e-4", 1500, 5),
        ("random-noise", 500, 20),
        ("stray-byte-before-reply", 200, 200),
        ("stray-byte-after-reply", 200, 200),
        ("device-driver-late", 200, 200),
        ("truncated-reply", 200, 200),
        ("slow-device", 200, 80),
        ("loose-contact", 800, 3),
        ("duplicate-address-together", 200, 200),
        ("duplicate-address-offset", 200, 200),
    ],
)
def test_what_was_abnormal_is_in_the_log_once_with_the_right_outcome(
    tmp_path: Path, name: str, exchanges: int, least: int
) -> None:
    """Noise, a stray byte before or after, lost heads, cut and slow replies, a device that vanishes, twins."""
    watched = WatchedLine(site_of(name, tmp_path), example_plan(wait_s=WAIT_S), exchanges)
    latency_s = watched.line.traits.latency_s
    truth = {number: true_kinds(one, latency_s) for number, one in enumerate(watched.line.asked, start=1)}
    abnormal = {number: kinds for number, kinds in truth.items() if kinds}

    file = recorded(tmp_path, watched)

    log = listed(file)
    assert len(abnormal) >= least
    assert [one.exchange.number for one in log] == sorted(abnormal)
    assert {one.exchange.number: kinds_of(counted_exchange(one)) for one in log} == abnormal
    with closing(open_record(Path(file))) as reader:
        (row,) = fault_rows([reader.fault_counts(ALL, 0)])
    assert row.asked == exchanges
    counted = (row.no_reply, row.short, row.damaged, row.late, row.beside.stray)
    kinds = (FaultKind.NO_REPLY, FaultKind.SHORT, FaultKind.DAMAGED, FaultKind.LATE, FaultKind.STRAY)
    assert counted == tuple(sum(kind in one for one in abnormal.values()) for kind in kinds)
    said = ran("faults", file, "--exchanges", "1000", "--json")
    numbers = [one["exchange"]["number"] for one in said.events if one["event"] == "exchange_done"]
    assert numbers == sorted(abnormal)


def test_twins_that_answer_in_turn_are_damaged_short_or_refused_as_they_came(tmp_path: Path) -> None:
    """Where both begin at odds a refusal comes whole among remains of the other: refused, and not clean."""
    watched = WatchedLine(shipped_site("duplicate-address-in-turn"), example_plan(), 200)
    refused = [one for one in watched.line.asked if b"\x25\x83" in one.came]
    clean = [one for one in watched.line.asked if one.came == EXAMPLE_REPLY]

    with closing(open_record(Path(recorded(tmp_path, watched)))) as reader:
        (row,) = fault_rows([reader.fault_counts(ALL, 0)])

    assert (row.answered, row.refused, row.not_clean) == (len(clean), len(refused), 200 - len(clean))
    assert (row.beside.stray, row.short) == (len(refused), 200 - len(clean) - len(refused))
    assert min(len(clean), len(refused), row.short) > 50


def test_noise_while_the_fan_runs_is_found_inside_its_mark(tmp_path: Path) -> None:
    """Bursts only while the plant is on, from 20 to 40 s of line time: nothing outside, and chance is ruled out."""
    site = shipped_site("noise-with-plant")
    site.timeline.at(20.0, lambda: _quietly(site.hands.plant_on))
    site.timeline.at(40.0, lambda: _quietly(site.hands.plant_off))
    watched = WatchedLine(site, example_plan(wait_s=0.1), 2500)
    events = (SIMULATED, *watched.line_events, MarkMade("fan on", MarkSource.USER, 20.0, EndsAt(40.0)))
    file = made(tmp_path / "visit.buswalk.sqlite", *events, is_simulated=True)

    (inside,) = [one for one in ran("faults", file, "--inside", "1", "--json").events if one["event"] == "inside_marks"]

    assert inside["not_clean_inside"] > 20
    assert inside["not_clean_outside"] == 0
    assert inside["chance"] < 1e-9
    only_inside = ran("faults", file, "--within", "1", "--exchanges", "1000", "--json")
    assert sum(one["event"] == "exchange_done" for one in only_inside.events) == inside["not_clean_inside"]


def _quietly(act: object) -> None:
    assert callable(act)
    act()

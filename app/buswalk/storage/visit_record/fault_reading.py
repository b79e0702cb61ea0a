"""Reads from a record what was not clean: pages, counts, a timeline. Memory does not grow with the record."""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from buswalk.domain.record_faults import (
    MOST_BINS,
    AbnormalPage,
    BinCount,
    FaultCount,
    FaultCounts,
    FaultTimeline,
    HourAsked,
    TimeBin,
)
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.storage.visit_record.exchange_columns import NS, nanoseconds
from buswalk.storage.visit_record.fault_conditions import IS_LATE, LOST_AND_LATE, Condition, counted, listed
from buswalk.storage.visit_record.opening import has
from buswalk.storage.visit_record.schema import FOREIGN, STRAY

COUNTED_AT_ONCE = 200_000
"""Exchanges that one answer counts where nothing was counted while writing: a fraction of a second."""

_COUNTING = (
    f"SELECT server_address, outcome, count(*), sum(outcome <> 'normal_reply' AND {IS_LATE}), "
    f"ifnull(sum({STRAY}), 0), ifnull(sum({FOREIGN}), 0)"
)
_NOTHING = FaultCount(0, "", 0)


def abnormal_numbers(connection: sqlite3.Connection, page: AbnormalPage, order: str) -> list[int]:
    """Return the numbers of a page, in order; `order` says from which end it is filled."""
    where = listed(page.wanted) & Condition("number > ?", (page.after_number,))
    if page.before_number:
        where &= Condition("number < ?", (page.before_number,))
    query = f"SELECT number FROM {_exchanges(connection)} WHERE {where.sql} ORDER BY number {order} LIMIT ?"
    found = connection.execute(query, (*where.values, page.limit)).fetchall()
    return sorted(number for (number,) in found)


def abnormal_count(connection: sqlite3.Connection, wanted: FaultFilter) -> int:
    """Return the length of the list under a filter."""
    where = listed(wanted)
    query = f"SELECT count(*) FROM {_exchanges(connection)} WHERE {where.sql}"
    return int(connection.execute(query, where.values).fetchone()[0])


def fault_counts(
    connection: sqlite3.Connection, wanted: FaultFilter, after_number: int, at_once: int = COUNTED_AT_ONCE
) -> FaultCounts:
    """Return counts as they were kept while writing, or count the next so many exchanges."""
    (last,) = connection.execute("SELECT max(number) FROM exchange").fetchone()
    last_number = last or 0
    if wanted.is_of_devices_only and after_number == 0 and has(connection, "beside"):
        return FaultCounts(_kept_counts(connection, wanted), last_number, last_number)
    if replace(wanted, but_jobs=frozenset()).is_of_devices_only and after_number == 0 and has(connection, "beside"):
        return FaultCounts(_kept_but_jobs(connection, wanted), last_number, last_number)
    counted_to = min(last_number, after_number + at_once)
    where = counted(wanted) & Condition("number > ? AND number <= ?", (after_number, counted_to))
    query = f"{_COUNTING} FROM exchange NOT INDEXED WHERE {where.sql} GROUP BY 1, 2"
    counts = [FaultCount(*columns) for columns in connection.execute(query, where.values).fetchall()]
    return FaultCounts(tuple(counts), counted_to, last_number)


def _kept_counts(connection: sqlite3.Connection, wanted: FaultFilter) -> tuple[FaultCount, ...]:
    where = counted(replace(wanted, kinds=frozenset()))
    query = (
        "SELECT server_address, outcome, sum(count), sum(late_credited), ifnull(sum(stray), 0), "
        "ifnull(sum(foreign_frames), 0) FROM aggregate LEFT JOIN beside USING (session, hour, server_address, outcome) "
        f"WHERE {where.sql} GROUP BY 1, 2"
    )
    return tuple(FaultCount(*columns) for columns in connection.execute(query, where.values).fetchall())


def _kept_but_jobs(connection: sqlite3.Connection, wanted: FaultFilter) -> tuple[FaultCount, ...]:
    """Return the kept counts less those of some jobs: one job runs at a time, so that each is a stretch of rows."""
    left_out: dict[tuple[int, str], FaultCount] = {}
    where = counted(replace(wanted, kinds=frozenset(), but_jobs=frozenset()))
    for job, row, behind in _stretches_of(connection, wanted.but_jobs):
        query = (
            f"{_COUNTING} FROM exchange INDEXED BY exchange_by_row "
            f"WHERE row > ? AND row < ? AND job = ? AND {where.sql} GROUP BY 1, 2"
        )
        for columns in connection.execute(query, (row, behind, job, *where.values)).fetchall():
            one = FaultCount(*columns)
            key = (one.server_address, one.outcome)
            left_out[key] = _added(left_out[key], one, 1) if key in left_out else one
    kept = _kept_counts(connection, replace(wanted, but_jobs=frozenset()))
    rest = (_added(one, left_out.get((one.server_address, one.outcome), _NOTHING), -1) for one in kept)
    return tuple(one for one in rest if one.count)


def _stretches_of(connection: sqlite3.Connection, names: frozenset[str]) -> list[tuple[int, int, int]]:
    """Return each job of these names, its row, and the row of what began behind it."""
    begun = connection.execute("SELECT row, job, name FROM job UNION ALL SELECT row, 0, '' FROM session ORDER BY 1")
    rows = [*begun.fetchall(), (2**62, 0, "")]
    return [(job, row, after[0]) for (row, job, name), after in pairwise(rows) if name in names]


def _added(one: FaultCount, other: FaultCount, sign: int) -> FaultCount:
    return replace(
        one,
        count=one.count + sign * other.count,
        late_credited=one.late_credited + sign * other.late_credited,
        stray=one.stray + sign * other.stray,
        foreign=one.foreign + sign * other.foreign,
    )


def fault_timeline(connection: sqlite3.Connection, wanted: FaultFilter, bins: int) -> FaultTimeline:
    """Return when it was not clean.

    Raises:
        ValueError: So many bins are not given out.
    """
    if not 1 <= bins <= MOST_BINS:
        raise ValueError(f"a timeline has 1 to {MOST_BINS} bins, not {bins}")
    stretches = [part for one in _asked_spans(connection) for part in _parts(one, wanted.times)]
    width_ns = max(1, sum(one.to_ns - one.from_ns for one in stretches) // bins)
    found_bins: list[TimeBin] = []
    found: list[BinCount] = []
    for one in stretches:
        count = max(1, round((one.to_ns - one.from_ns) / width_ns))
        found += _bin_counts(connection, wanted, one, (len(found_bins), count))
        found_bins += one.bins(count)
    return FaultTimeline(tuple(found_bins), tuple(found), _hours_asked(connection, wanted))


@dataclass(frozen=True, slots=True)
class _Stretch:
    """A part of a session, with the numbers of its first and last exchange."""

    session: int
    numbers: tuple[int, int]
    from_ns: int
    to_ns: int

    def bins(self, count: int) -> list[TimeBin]:
        edges = [self.from_ns + (self.to_ns - self.from_ns) * one // count for one in range(count + 1)]
        return [TimeBin(self.session, low / NS, high / NS) for low, high in pairwise(edges)]


def _asked_spans(connection: sqlite3.Connection) -> list[_Stretch]:
    """Return each session from first exchange to last: rows count on through sessions, so each end is one look."""
    begun = connection.execute("SELECT session, row FROM session ORDER BY session").fetchall()
    spans = []
    for place, (session, row) in enumerate(begun):
        behind = begun[place + 1][1] if place + 1 < len(begun) else 2**62
        query = "SELECT number, begin_ns, ended_ns FROM exchange WHERE row > ? AND row < ? ORDER BY row {} LIMIT 1"
        first = connection.execute(query.format("ASC"), (row, behind)).fetchone()
        last = connection.execute(query.format("DESC"), (row, behind)).fetchone()
        if first is not None and last is not None:
            spans.append(_Stretch(session, (first[0], last[0]), first[1], max(last[2], first[1] + 1)))
    return spans


def _parts(whole: _Stretch, times: tuple[MarkedSpan, ...]) -> list[_Stretch]:
    if not times:
        return [whole]
    found = []
    for one in times:
        from_ns = max(whole.from_ns, nanoseconds(one.from_s))
        to_ns = min(whole.to_ns, nanoseconds(min(one.to_s, 1e9)))
        if one.session == whole.session and from_ns < to_ns:
            found.append(replace(whole, from_ns=from_ns, to_ns=to_ns))
    return found


def _bin_counts(
    connection: sqlite3.Connection, wanted: FaultFilter, one: _Stretch, placed: tuple[int, int]
) -> list[BinCount]:
    """Count one stretch; `placed` says which bin is its first, and how many it has."""
    first_bin, count = placed
    where = listed(wanted) & Condition(
        "number BETWEEN ? AND ? AND session = ? AND begin_ns BETWEEN ? AND ?",
        (*one.numbers, one.session, one.from_ns, one.to_ns),
    )
    query = (
        "SELECT min(?, cast((begin_ns - ?) * ? AS REAL) / ?) AS place, "
        f"server_address, CASE WHEN {LOST_AND_LATE} THEN 'late' ELSE outcome END AS shown, count(*), "
        f"ifnull(sum({STRAY}), 0) FROM {_exchanges(connection)} WHERE {where.sql} "
        "GROUP BY cast(place AS INTEGER), server_address, shown ORDER BY 1, 2, 3"
    )
    values = (count - 1, one.from_ns, count, one.to_ns - one.from_ns, *where.values)
    rows: list[Any] = connection.execute(query, values).fetchall()
    return [BinCount(first_bin + int(place), *rest) for place, *rest in rows]


def _hours_asked(connection: sqlite3.Connection, wanted: FaultFilter) -> tuple[HourAsked, ...]:
    where = counted(FaultFilter(addresses=wanted.addresses))
    query = (
        f"SELECT session, hour, server_address, sum(count) FROM aggregate WHERE {where.sql} "
        "GROUP BY 1, 2, 3 ORDER BY 1, 2, 3"
    )
    return tuple(HourAsked(*columns) for columns in connection.execute(query, where.values).fetchall())


def _exchanges(connection: sqlite3.Connection) -> str:
    """Return the table with its index of unusual exchanges, without it where a record has none."""
    return "exchange INDEXED BY exchange_unusual" if has(connection, "exchange_unusual") else "exchange"

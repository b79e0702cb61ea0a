"""A filter of faults as SQL: the conditions that an exchange must fit, and their values."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import isinf
from typing import TypeAlias

from buswalk.domain.statistics.fault_filter import FaultFilter, FaultKind
from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.statistics.outcome_table import NEVER_TRIED
from buswalk.storage.visit_record.exchange_columns import nanoseconds
from buswalk.storage.visit_record.schema import STRAY, UNUSUAL

Value: TypeAlias = int | str
FOR_EVER_NS = 2**62
TO_ONE_SERVER = "server_address <> 0"
IS_LATE = (
    "EXISTS (SELECT 1 FROM late_reply WHERE late_reply.exchange = exchange.number AND position = 0 "
    "AND credit = 'credited')"
)
"""Credited to this exchange: a doubtful late reply is no answer."""
LOST_AND_LATE = f"outcome NOT IN ('normal_reply', 'exception_reply') AND {IS_LATE}"
"""A second answer to what was answered in time is no lateness."""
_NEVER_TRIED = ", ".join(f"'{one}'" for one in sorted(NEVER_TRIED))
NOT_CLEAN = (
    f"{UNUSUAL} AND {TO_ONE_SERVER} AND outcome NOT IN ({_NEVER_TRIED}) "
    f"AND (outcome NOT IN ('normal_reply', 'exception_reply') OR {STRAY})"
)


@dataclass(frozen=True, slots=True)
class Condition:
    """Joined by AND to others; `values` go into its places."""

    sql: str
    values: tuple[Value, ...] = ()

    def __and__(self, other: Condition) -> Condition:
        return Condition(f"{self.sql} AND {other.sql}", (*self.values, *other.values))


def listed(wanted: FaultFilter) -> Condition:
    """Return what the list of a filter holds. It always implies UNUSUAL, by which the index is found."""
    if not wanted.kinds:
        return Condition(NOT_CLEAN) & counted(wanted)
    kinds = " OR ".join(_of_kind(one) for one in sorted(wanted.kinds, key=lambda kind: kind.value))
    return Condition(f"{UNUSUAL} AND {TO_ONE_SERVER} AND ({kinds})") & counted(wanted)


def counted(wanted: FaultFilter) -> Condition:
    """Return what the table under a filter counts: exchanges of every kind."""
    found = Condition(TO_ONE_SERVER)
    if wanted.addresses:
        found &= _one_of("server_address", sorted(wanted.addresses))
    if wanted.times:
        found &= _any_of(wanted.times, "begin_ns")
    if wanted.inside:
        found &= _any_of(wanted.inside, "ended_ns")
    if wanted.jobs:
        names = _one_of("name", sorted(wanted.jobs))
        found &= Condition(f"job IN (SELECT job.job FROM job WHERE {names.sql})", names.values)
    if wanted.but_jobs:
        names = _one_of("name", sorted(wanted.but_jobs))
        found &= Condition(f"(job IS NULL OR job NOT IN (SELECT job.job FROM job WHERE {names.sql}))", names.values)
    if wanted.settings:
        found &= _in_settings(wanted)
    return found


def _of_kind(kind: FaultKind) -> str:
    match kind:
        case FaultKind.STRAY:
            return STRAY
        case FaultKind.LATE:
            return f"({LOST_AND_LATE})"
        case FaultKind.REFUSED:
            return f"outcome = '{kind.value}'"
        case _:
            return f"(outcome = '{kind.value}' AND NOT {IS_LATE})"


def _one_of(column: str, values: Iterable[Value]) -> Condition:
    held = tuple(values)
    return Condition(f"{column} IN ({', '.join('?' * len(held))})", held)


def _any_of(spans: tuple[MarkedSpan, ...], last_column: str) -> Condition:
    """`last_column` is what must lie before the end of a span: the sending, or the end of the exchange."""
    one = f"(session = ? AND begin_ns >= ? AND {last_column} <= ?)"
    values = [value for span in spans for value in (span.session, nanoseconds(span.from_s), _end_ns(span))]
    return Condition(f"({' OR '.join([one] * len(spans))})", tuple(values))


def _end_ns(span: MarkedSpan) -> int:
    return FOR_EVER_NS if isinf(span.to_s) else nanoseconds(span.to_s)


def _in_settings(wanted: FaultFilter) -> Condition:
    each = sorted(wanted.settings, key=str)
    pairs = " OR ".join(["(settings.baud_rate = ? AND settings.framing = ?)"] * len(each))
    values = [value for one in each for value in (one.baud_rate, one.framing)]
    return Condition(f"exchange.settings IN (SELECT settings.settings FROM settings WHERE {pairs})", tuple(values))

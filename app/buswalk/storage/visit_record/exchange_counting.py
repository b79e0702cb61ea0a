"""Reads what counting needs of exchanges. What is read is looked at as closely as a whole exchange would be.

Devices say the same again and again, so that bytes which were understood once are not taken apart once more. What is
not plain, such as an arrival with marks, is read whole: so nothing counts that could not be shown.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any, TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import LateReply
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore, ForeignFrame
from buswalk.domain.modbus.outcome import ExceptionReply
from buswalk.domain.statistics.counted_exchange import NO_REFUSAL, CountedExchange
from buswalk.domain.statistics.reduction import credited_late
from buswalk.storage.visit_record.exchange_columns import NS, observations_from, outcome_from, request_from
from buswalk.storage.visit_record.fault_conditions import Condition

MOST_REMEMBERED = 8_192
_COLUMNS = (
    "row, number, session, server_address, job, baud_rate, framing, begin_ns, sent_not_before_ns, ended_ns, "
    "iif(turnaround_not_less_ns IS NULL, NULL, turnaround_not_more_ns)"
)
_CONTENT = "function, request, outcome, reply, detail, observations"
CONTENT_FROM = 12
"""Place of the first column of the content among all that are read."""
_IS_PLAIN = " AND ".join(
    (
        "typeof(begin_ns) = 'integer' AND typeof(ended_ns) = 'integer'",
        "(sent_not_before_ns IS NULL) = (outcome = 'not_sent')",
        "(sent_not_before_ns IS NULL OR begin_ns <= sent_not_before_ns AND sent_not_before_ns <= sent_not_after_ns "
        "AND typeof(sent_not_before_ns) = 'integer' AND typeof(sent_not_after_ns) = 'integer')",
        "(turnaround_not_less_ns IS NULL "
        "OR typeof(turnaround_not_less_ns) = 'integer' AND typeof(turnaround_not_more_ns) = 'integer')",
    )
)
_ARE_PLAIN = (
    "min(marks IS NULL AND not_before_ns <= not_after_ns AND length(bytes) > 0 AND typeof(bytes) = 'blob' "
    "AND typeof(not_before_ns) = 'integer' AND typeof(not_after_ns) = 'integer')"
)
ReadLate: TypeAlias = Callable[[int, int], Mapping[int, tuple[LateReply, ...]]]
"""Late replies by exchange, of exchanges with these numbers: from, to."""
ReadWhole: TypeAlias = Callable[[int], CountedExchange]
"""One exchange read whole, then reduced; raises where it is damaged."""


class ExchangeCounting:
    """Counts in one file; remembers contents that were understood, so many at most."""

    def __init__(self, connection: sqlite3.Connection, late_of: ReadLate, whole: ReadWhole) -> None:
        self._connection = connection
        self._late_of = late_of
        self._whole = whole
        self._understood = lru_cache(MOST_REMEMBERED)(self._understand)
        self._request = lru_cache(MOST_REMEMBERED)(request_from)
        self._beside = lru_cache(MOST_REMEMBERED)(_beside)
        self._character_s = lru_cache(MOST_REMEMBERED)(_character_s)

    def exchanges(self, where: Condition, order: str) -> tuple[CountedExchange, ...]:
        """Return those that fit, in this order.

        Raises:
            ValueError, TypeError, LookupError: One of them is damaged.
            sqlite3.Error: The file is.
        """
        query = (
            f"SELECT {_COLUMNS}, {_IS_PLAIN}, {_CONTENT} FROM exchange JOIN settings USING (settings) "
            f"WHERE {where.sql} ORDER BY {order}"
        )
        rows = self._connection.execute(query, where.values).fetchall()
        if not rows:
            return ()
        received = self._received(min(one[0] for one in rows), max(one[0] for one in rows))
        numbers = [one[1] for one in rows]
        late = self._late_of(min(numbers), max(numbers))
        jobs = {job for (job,) in self._connection.execute("SELECT job FROM job")} | {None}
        return tuple(self._counted(one, received.get(one[0], (0, True)), late.get(one[1], ()), jobs) for one in rows)

    def strays(self, from_row: int, behind_row: int) -> int | None:
        """Return how many lumps came between exchanges in a span of rows; None where one of them is not plain."""
        query = (
            f"SELECT ifnull(sum(kind IS NOT 'heard'), 0), ifnull({_ARE_PLAIN}, 1) FROM arrival "
            "WHERE row >= ? AND row < ? AND exchange IS NULL"
        )
        count, are_plain = self._connection.execute(query, (from_row, behind_row)).fetchone()
        return int(count) if are_plain else None

    def _received(self, first_row: int, last_row: int) -> dict[int, tuple[int, bool]]:
        """Return for each row that has arrivals how many bytes came, and whether all of them are plain."""
        query = f"SELECT row, sum(length(bytes)), {_ARE_PLAIN} FROM arrival WHERE row BETWEEN ? AND ? GROUP BY row"
        found = self._connection.execute(query, (first_row, last_row))
        return {row: (count, bool(are_plain)) for row, count, are_plain in found}

    def _counted(
        self,
        columns: tuple[Any, ...],
        received: tuple[int, bool],
        late: tuple[LateReply, ...],
        jobs: set[int | None],
    ) -> CountedExchange:
        (_, number, session, address, job, baud_rate, framing, *times, is_plain) = columns[:CONTENT_FROM]
        begin, sent, ended, turnaround = times
        content = columns[CONTENT_FROM:]
        received_bytes, are_plain = received
        if not (is_plain and are_plain and job in jobs):
            return self._whole(number)
        exception_code, is_stray, is_foreign = self._understood(*content)
        return CountedExchange(
            number,
            session,
            address,
            content[2],
            exception_code,
            is_stray,
            is_foreign,
            begin / NS,
            None if sent is None else sent / NS,
            ended / NS,
            None if turnaround is None else turnaround / NS,
            received_bytes,
            self._character_s(baud_rate, framing),
            credited_late(number, late) if late else None,
        )

    def _understand(
        self,
        function: int,
        request_adu: bytes,
        kind: str,
        reply: bytes | None,
        detail: str | None,
        observations: str | None,
    ) -> tuple[int, bool, bool]:
        """Return an exception code, whether bytes of no frame came, and whether a frame of another address did."""
        outcome = outcome_from(kind, reply, detail, self._request(function, request_adu))
        code = outcome.exception_code if isinstance(outcome, ExceptionReply) else NO_REFUSAL
        return code, *self._beside(observations)


def _beside(observations: str | None) -> tuple[bool, bool]:
    seen = observations_from(observations)
    is_stray = any(isinstance(one, BytesBefore | BytesAfter) for one in seen)
    return is_stray, any(isinstance(one, ForeignFrame) for one in seen)


def _character_s(baud_rate: int, framing: str) -> float:
    return SerialSettings.of(baud_rate, framing).character_s

"""Looks through a whole record: whether the file is whole, and whether what it says of itself agrees."""

from __future__ import annotations

import sqlite3

from buswalk.storage.visit_record.opening import has
from buswalk.storage.visit_record.schema import FOREIGN, HOUR_NS, STRAY

MOST_SENTENCES = 20

_MUST_BE_EMPTY = (
    (
        "exchange {} is missing: numbers count on without gaps",
        "SELECT number + 1 FROM exchange WHERE number + 1 NOT IN (SELECT number FROM exchange) "
        "AND number < (SELECT max(number) FROM exchange)",
    ),
    (
        "exchange {} belongs to a session that is not in the record",
        "SELECT number FROM exchange WHERE session NOT IN (SELECT session FROM session)",
    ),
    (
        "exchange {} was asked in settings that are not in the record",
        "SELECT number FROM exchange WHERE settings NOT IN (SELECT settings FROM settings)",
    ),
    (
        "row {} holds bytes of an exchange that is not in the record",
        "SELECT DISTINCT row FROM arrival WHERE exchange IS NOT NULL AND exchange NOT IN (SELECT number FROM exchange)",
    ),
    (
        "row {} is a late reply to an exchange that is not in the record",
        "SELECT DISTINCT row FROM late_reply WHERE exchange NOT IN (SELECT number FROM exchange)",
    ),
    (
        "the counts of server address {} are not those of its exchanges",
        "SELECT DISTINCT server_address FROM ("
        "  SELECT session, server_address, outcome, sum(count) AS number FROM aggregate GROUP BY 1, 2, 3"
        "  UNION ALL SELECT session, server_address, outcome, count(*) FROM exchange GROUP BY 1, 2, 3"
        ") GROUP BY session, server_address, outcome HAVING count(*) <> 2 OR min(number) <> max(number)",
    ),
)
_MUST_BE_EMPTY_OF_MARKS_AND_FAULTS = (
    (
        "the counts of stray bytes and foreign frames of server address {} are not those of its exchanges",
        "SELECT DISTINCT server_address FROM ("
        "  SELECT session, hour, server_address, outcome, stray, foreign_frames AS foreign_count FROM beside"
        f"  UNION ALL SELECT session, ended_ns / {HOUR_NS}, server_address, outcome, -({STRAY}), -({FOREIGN})"
        f"  FROM exchange WHERE {STRAY} OR {FOREIGN}"
        ") GROUP BY session, hour, server_address, outcome "
        "HAVING ifnull(sum(stray), 0) <> 0 OR ifnull(sum(foreign_count), 0) <> 0",
    ),
    (
        "row {} changes a mark that is not in the record",
        "SELECT row FROM mark_change WHERE mark NOT IN (SELECT row FROM mark)",
    ),
    (
        "row {} changes a mark, but what it says of it is not in the record",
        "SELECT row FROM mark_change WHERE row NOT IN (SELECT row FROM event)",
    ),
)
"""Of tables that records of the first days lack."""


def problems_in(connection: sqlite3.Connection) -> tuple[str, ...]:
    """Return a sentence for each thing that is not as it must be, the file itself first.

    Raises:
        sqlite3.Error: It cannot be read far enough to tell.
    """
    damage = _damage(connection)
    if damage:
        return damage
    later = _MUST_BE_EMPTY_OF_MARKS_AND_FAULTS if has(connection, "beside") else ()
    found = [
        words.format(value)
        for words, query in (*_MUST_BE_EMPTY, *later)
        for (value,) in connection.execute(f"{query} LIMIT {MOST_SENTENCES}")
    ]
    return tuple(found[:MOST_SENTENCES])


def _damage(connection: sqlite3.Connection) -> tuple[str, ...]:
    found = [str(words) for (words,) in connection.execute(f"PRAGMA integrity_check({MOST_SENTENCES})")]
    if found == ["ok"]:
        return ()
    return tuple(f"the file is damaged: {' '.join(words.split())}" for words in found)

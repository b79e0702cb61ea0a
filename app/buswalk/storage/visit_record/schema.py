"""The tables of a visit record, schema 1, and the marks by which a file is known to be one.

Each kept event has a row number, counted from 1 through all tables of a file, and rows are never rewritten; only
`aggregate` is kept up to date, and can be computed again from the rest. Times ending in `_ns` are integer nanoseconds
of line time, from the start of the session. What is no traffic stands in `event` as JSON, the same as on the command
line; session, line, job, mark, mark_change, planned_device, finding and write hold what is looked for most, in columns.

    exchange      `reply` is the frame or the bytes that decided the outcome, `detail` its other values as JSON;
                  a request that did not leave has only `begin_ns`, when it was given up
    arrival       every byte that came; without `exchange` and with its `kind`, if no request waited for it
    late_reply    one line for each exchange that the reply can belong to, the likeliest first
    aggregate     by the hour of line time in which the exchange ended; `late_credited` of `count` were answered late
    beside        the same hours: exchanges with bytes of no frame, or a frame of another address; kept by a trigger
    mark_change   what was said of a mark after its making; `mark` is the row of the mark
    sample        what one exchange told of points, packed (`sample_columns`); `sample_layout` names the points in order
    points_watched    the rows of `event` that describe points

A new table or column does not change the number; what an older reader would read wrongly does.
"""

from __future__ import annotations

SCHEMA = 1
APPLICATION_ID = 0x62757377
"""'busw', in the header of the file."""

TABLES = """
CREATE TABLE visit (uuid TEXT NOT NULL, schema INTEGER NOT NULL, is_simulated INTEGER NOT NULL);
CREATE TABLE settings (
    settings INTEGER PRIMARY KEY, baud_rate INTEGER NOT NULL, framing TEXT NOT NULL, UNIQUE (baud_rate, framing)
);
CREATE TABLE event (
    row INTEGER PRIMARY KEY, session INTEGER NOT NULL, job INTEGER, at_ns INTEGER NOT NULL,
    kind TEXT NOT NULL, json TEXT NOT NULL
);
CREATE TABLE session (
    session INTEGER PRIMARY KEY, row INTEGER NOT NULL, wall_time TEXT NOT NULL, factor REAL NOT NULL,
    program TEXT NOT NULL
);
CREATE TABLE session_end (session INTEGER PRIMARY KEY, at_ns INTEGER NOT NULL);
CREATE TABLE adapter (adapter INTEGER PRIMARY KEY, words TEXT NOT NULL UNIQUE);
CREATE TABLE line (
    line INTEGER PRIMARY KEY, row INTEGER NOT NULL, session INTEGER NOT NULL, at_ns INTEGER NOT NULL,
    port TEXT NOT NULL, adapter INTEGER NOT NULL
);
CREATE TABLE job (
    job INTEGER PRIMARY KEY, row INTEGER NOT NULL, session INTEGER NOT NULL, number INTEGER NOT NULL,
    name TEXT NOT NULL, at_ns INTEGER NOT NULL
);
CREATE TABLE exchange (
    number INTEGER PRIMARY KEY, row INTEGER NOT NULL, session INTEGER NOT NULL, line INTEGER, job INTEGER,
    settings INTEGER NOT NULL, server_address INTEGER NOT NULL, function INTEGER NOT NULL, request BLOB NOT NULL,
    begin_ns INTEGER NOT NULL, sent_not_before_ns INTEGER, sent_not_after_ns INTEGER, ended_ns INTEGER NOT NULL,
    outcome TEXT NOT NULL, reply BLOB, detail TEXT, observations TEXT,
    turnaround_not_less_ns INTEGER, turnaround_not_more_ns INTEGER
);
CREATE UNIQUE INDEX exchange_by_row ON exchange (row);
CREATE INDEX exchange_by_server ON exchange (server_address);
CREATE TABLE arrival (
    row INTEGER NOT NULL, position INTEGER NOT NULL, session INTEGER NOT NULL, line INTEGER, exchange INTEGER,
    kind TEXT, not_before_ns INTEGER NOT NULL, not_after_ns INTEGER NOT NULL, bytes BLOB NOT NULL, marks TEXT,
    PRIMARY KEY (row, position)
) WITHOUT ROWID;
CREATE TABLE late_reply (
    row INTEGER NOT NULL, position INTEGER NOT NULL, session INTEGER NOT NULL, exchange INTEGER NOT NULL,
    credit TEXT NOT NULL, PRIMARY KEY (row, position)
) WITHOUT ROWID;
CREATE INDEX late_reply_by_exchange ON late_reply (exchange);
CREATE TABLE mark (
    row INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ns INTEGER NOT NULL, source TEXT NOT NULL, words TEXT NOT NULL
);
CREATE TABLE plan (row INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ns INTEGER NOT NULL);
CREATE TABLE planned_device (
    row INTEGER NOT NULL, position INTEGER NOT NULL, place INTEGER NOT NULL, server_address INTEGER NOT NULL,
    name TEXT NOT NULL, settings INTEGER, board TEXT NOT NULL, at_place TEXT NOT NULL, PRIMARY KEY (row, position)
) WITHOUT ROWID;
CREATE TABLE finding (
    row INTEGER PRIMARY KEY, session INTEGER NOT NULL, at_ns INTEGER NOT NULL, kind TEXT NOT NULL,
    server_address INTEGER
);
CREATE TABLE write (
    exchange INTEGER PRIMARY KEY, server_address INTEGER NOT NULL, function INTEGER NOT NULL, outcome TEXT NOT NULL
);
CREATE TABLE aggregate (
    session INTEGER NOT NULL, hour INTEGER NOT NULL, server_address INTEGER NOT NULL, outcome TEXT NOT NULL,
    count INTEGER NOT NULL, late_credited INTEGER NOT NULL,
    PRIMARY KEY (session, hour, server_address, outcome)
) WITHOUT ROWID;
"""

UNUSUAL = "(outcome <> 'normal_reply' OR instr(observations, '\"bytes_') > 0)"
"""Written the same in the index and where it is asked for, else the index is not found. Few are so on a good line."""
STRAY = "instr(observations, '\"bytes_') > 0"
"""Bytes before or behind the frame. No other observation has a key or a kind that begins so."""
FOREIGN = "instr(observations, '\"foreign_frame\"') > 0"
_NEW_STRAY, _NEW_FOREIGN = (one.replace("observations", "new.observations") for one in (STRAY, FOREIGN))
HOUR_NS = 3_600_000_000_000
_OF_MARKS_AND_FAULTS = (
    "CREATE TABLE IF NOT EXISTS mark_change (row INTEGER PRIMARY KEY, mark INTEGER NOT NULL)",
    "CREATE INDEX IF NOT EXISTS exchange_unusual ON exchange "
    f"(number, server_address, outcome, session, job, settings, begin_ns, ended_ns) WHERE {UNUSUAL}",
    "CREATE TABLE IF NOT EXISTS beside ("
    "session INTEGER NOT NULL, hour INTEGER NOT NULL, server_address INTEGER NOT NULL, outcome TEXT NOT NULL, "
    "stray INTEGER NOT NULL, foreign_frames INTEGER NOT NULL, "
    "PRIMARY KEY (session, hour, server_address, outcome)) WITHOUT ROWID",
    "INSERT INTO beside "
    f"SELECT session, ended_ns / {HOUR_NS}, server_address, outcome, sum({STRAY}), sum({FOREIGN}) "
    f"FROM exchange WHERE {STRAY} OR {FOREIGN} GROUP BY 1, 2, 3, 4",
    "CREATE TRIGGER IF NOT EXISTS count_beside AFTER INSERT ON exchange "
    f"WHEN {_NEW_STRAY} OR {_NEW_FOREIGN} "
    "BEGIN INSERT INTO beside VALUES ("
    f"new.session, new.ended_ns / {HOUR_NS}, new.server_address, new.outcome, "
    f"{_NEW_STRAY}, {_NEW_FOREIGN}) "
    "ON CONFLICT (session, hour, server_address, outcome) DO UPDATE SET "
    "stray = stray + excluded.stray, foreign_frames = foreign_frames + excluded.foreign_frames; END",
)
_OF_SAMPLES = (
    "CREATE TABLE sample_layout ("
    "layout INTEGER PRIMARY KEY, server_address INTEGER NOT NULL, settings INTEGER NOT NULL, points TEXT NOT NULL, "
    "UNIQUE (server_address, settings, points))",
    "CREATE TABLE sample ("
    "row INTEGER PRIMARY KEY, session INTEGER NOT NULL, layout INTEGER NOT NULL, exchange INTEGER NOT NULL, "
    "at_ns INTEGER NOT NULL, uncertainty_ns INTEGER NOT NULL, "
    "numbers BLOB NOT NULL, qualities BLOB NOT NULL, words BLOB NOT NULL)",
    "CREATE INDEX sample_by_layout ON sample (layout, session, at_ns)",
    "CREATE TABLE points_watched (row INTEGER PRIMARY KEY)",
)
ADDED = {"beside": _OF_MARKS_AND_FAULTS, "points_watched": _OF_SAMPLES}
"""What records of the first days lack, by the table that tells so: made, and filled from the exchanges, when such a
file is gone on with. A trigger counts, so that a program which does not know of it keeps the counts right too. Reading
does without all of it."""

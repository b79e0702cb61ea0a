"""What recording costs, beside plain rows into plain SQLite in the same run; how long a record of two million opens.

The plain limit writes one row of the same bytes a transaction, with the same promise (write-ahead log, `synchronous`
NORMAL): what it takes more here is columns, indexes, counts, bytes of their own, and turning objects into rows.
The large record is made of really recorded exchanges, copied within the file by SQL, so that every row is as written.
"""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.modbus.outcome import NoReply
from buswalk.domain.record_faults import AbnormalPage
from buswalk.domain.record_reader import ExchangePage
from buswalk.domain.statistics.fault_filter import ALL
from buswalk.domain.statistics.fault_rows import fault_rows
from buswalk.storage.visit_record.reader import open_record
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.benchmarks.figure import Figure
from tests.fakes.every_event import NORMAL, STARTED, exchange

EXCHANGES = 20_000
LARGE = 2_000_000
PAGE = 200
PAGE_BYTES = 4096
BINS = 400
FAULTS = "faults"
SERVERS = 40
NO_REPLY_EVERY = 10
"""As on a working line: nine in ten are answered."""


def figures() -> Iterator[Figure]:
    """Yield the speed of recording, the size, and the time and memory of opening a large record."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "visit.buswalk.sqlite"
        limit = _plain_rows_per_s(Path(folder) / "plain.sqlite")
        yield Figure("record", "events_per_s", _events_per_s(path), "1/s", "plain sqlite3", limit, more_is_better=True)
        plain_bytes = (Path(folder) / "plain.sqlite").stat().st_size / EXCHANGES
        own_bytes = path.stat().st_size / EXCHANGES
        yield Figure("record", "bytes_per_exchange", own_bytes, "B", "plain sqlite3", plain_bytes)
        _enlarge(path)
        seconds, grown_mb = _opened(path)
        yield Figure("record", "open_two_million_s", seconds, "s")
        yield Figure("record", "open_two_million_mb", grown_mb, "MB")
        seconds, grown_mb = _opened(path, FAULTS)
        yield Figure("record", "faults_first_page_s", seconds, "s")
        yield Figure("record", "faults_first_page_mb", grown_mb, "MB")


def _events() -> list[ExchangeDone]:
    return [
        ExchangeDone(
            exchange(
                number,
                NORMAL if number % NO_REPLY_EVERY else NoReply(0.06),
                at_s=number / 10,
                server_address=1 + number % SERVERS,
            )
        )
        for number in range(1, EXCHANGES + 1)
    ]


def _events_per_s(path: Path) -> float:
    events = _events()
    recorder = open_visit_record(path, is_simulated=False)
    recorder.begin(STARTED)
    began = time.perf_counter()
    for event in events:
        recorder.keep(event, event.exchange.ended_s)
    took_s = time.perf_counter() - began
    recorder.close()
    return EXCHANGES / took_s


def _plain_rows_per_s(path: Path) -> float:
    """The same bytes in one table without an index, ready as values."""
    rows = [
        (event.exchange.request_adu, event.exchange.received, int(event.exchange.ended_s * 1e9)) for event in _events()
    ]
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA journal_mode = WAL")
    connection.execute("PRAGMA synchronous = NORMAL")
    connection.execute("CREATE TABLE plain (row INTEGER PRIMARY KEY, request BLOB, reply BLOB, at_ns INTEGER)")
    began = time.perf_counter()
    for row in rows:
        connection.execute("INSERT INTO plain (request, reply, at_ns) VALUES (?,?,?)", row)
    took_s = time.perf_counter() - began
    connection.close()
    return EXCHANGES / took_s


def _enlarge(path: Path) -> None:
    """Copy all exchanges and their arrivals, numbers and rows counting on."""
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA synchronous = OFF")
    names = [str(row[1]) for row in connection.execute("PRAGMA table_info(exchange)")]
    rest = ", ".join(name for name in names if name not in ("number", "row"))
    connection.execute("BEGIN")
    for block in range(1, LARGE // EXCHANGES):
        shift = block * EXCHANGES
        connection.execute(
            f"INSERT INTO exchange (number, row, {rest}) SELECT number + {shift}, row + {shift}, {rest} "
            f"FROM exchange WHERE number <= {EXCHANGES}"
        )
        connection.execute(
            f"INSERT INTO arrival SELECT row + {shift}, position, session, line, exchange + {shift}, kind, "
            f"not_before_ns, not_after_ns, bytes, marks FROM arrival WHERE row <= {EXCHANGES + 1}"
        )
    connection.execute(f"UPDATE aggregate SET count = count * {LARGE // EXCHANGES}")
    connection.execute("COMMIT")
    connection.close()


def _opened(path: Path, what: str = "") -> tuple[float, float]:
    """Return how long a fresh process needs to read what is shown first, and by how much it grew."""
    arguments = [sys.executable, "-m", "tests.benchmarks.bench_record", str(path), what]
    ended = subprocess.run(arguments, capture_output=True, text=True, check=True)
    seconds, grown_mb = ended.stdout.split()
    return float(seconds), float(grown_mb)


def first_rows(path: Path) -> tuple[float, float]:
    """Open a record as the analysis does, and read what a page shows first."""
    before_mb = _resident_mb()
    began = time.perf_counter()
    reader = open_record(path)
    facts = reader.facts()
    shown = reader.exchanges(ExchangePage(0, PAGE))
    last = reader.last_exchanges(ExchangePage(0, PAGE))
    of_one = reader.last_exchanges(ExchangePage(0, PAGE, server_address=7))
    counts = reader.outcome_counts()
    took_s = time.perf_counter() - began
    grown_mb = _resident_mb() - before_mb
    assert facts.exchanges == sum(one.count for one in counts) == last[-1].exchange.number
    assert len(shown) == len(last) == len(of_one) == PAGE
    reader.close()
    return took_s, grown_mb


def first_faults(path: Path) -> tuple[float, float]:
    """Open a record as the analysis does, and read what the page of faults shows first: a tenth was not clean."""
    before_mb = _resident_mb()
    began = time.perf_counter()
    reader = open_record(path)
    marks = reader.marks()
    rows = fault_rows([reader.fault_counts(ALL, 0)])
    latest = reader.last_abnormal_exchanges(AbnormalPage())
    count = reader.abnormal_count(ALL)
    timeline = reader.fault_timeline(ALL, BINS)
    previous = reader.last_abnormal_exchanges(AbnormalPage(before_number=LARGE // 2, limit=1))
    took_s = time.perf_counter() - began
    grown_mb = _resident_mb() - before_mb
    assert (len(rows), len(latest), len(previous), marks) == (SERVERS, PAGE, 1, ())
    assert count == sum(one.not_clean for one in rows) == sum(one.count for one in timeline.counts)
    reader.close()
    return took_s, grown_mb


def _resident_mb() -> float:
    """Return the memory of this process (Linux; 0 elsewhere)."""
    status = Path("/proc/self/statm")
    return int(status.read_text().split()[1]) * PAGE_BYTES / 1e6 if status.exists() else 0.0


if __name__ == "__main__":
    print(*(first_faults if sys.argv[2] == FAULTS else first_rows)(Path(sys.argv[1])))

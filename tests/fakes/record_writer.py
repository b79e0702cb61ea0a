"""A process that records without end: it says the number of each exchange once that is kept. Run as a module."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import NoReply
from buswalk.domain.visit.recorder import RecordProblem
from buswalk.storage.visit_record.recorder import open_visit_record
from tests.fakes.every_event import NORMAL, STARTED, STRAY, exchange

SETTLE_EVERY = 97


NOBODY = 65534
"""The user without rights, on every POSIX system known to us."""


def written(number: int) -> Exchange:
    """Return the exchange that is recorded under a number."""
    return exchange(number, NORMAL if number % 3 else NoReply(0.1), at_s=number / 10)


def main(path: str, rights: str = "") -> int:
    """Record until killed; exit status 4 and the sentence on the error stream if it cannot.

    Given `without-rights` as well, root turns into a user without rights first: its interpreter may be in a folder
    which only root may enter.
    """
    if rights:
        os.setgroups([])
        os.setgid(NOBODY)
        os.setuid(NOBODY)
    try:
        recorder = open_visit_record(Path(path), is_simulated=False)
        recorder.keep(STARTED, 0.0)
        while True:
            number = recorder.next_exchange_number
            recorder.keep(ExchangeDone(written(number)), number / 10)
            os.write(1, f"{number}\n".encode())
            if number % 5 == 0:
                recorder.keep(StrayArrival(STRAY), number / 10)
            if number % SETTLE_EVERY == 0:
                recorder.settle()
    except RecordProblem as problem:
        sys.stderr.write(problem.sentence)
        return 4


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:]))

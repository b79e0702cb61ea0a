"""Adds up counts of parts of a record into the table of outcomes."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.modbus.adu import BROADCAST_ADDRESS
from buswalk.domain.record_faults import FaultCount, FaultCounts
from buswalk.domain.record_reader import OutcomeCount
from buswalk.domain.statistics.outcome_table import CLEAN, Beside, OutcomeRow, column_of, outcome_rows


def fault_rows(parts: Iterable[FaultCounts]) -> tuple[OutcomeRow, ...]:
    """Return a row for each server, by address; requests to all have none, as nobody answers them.

    Raises:
        ValueError: Counts that cannot be.
    """
    counts = [one for part in parts for one in part.counts if one.server_address != BROADCAST_ADDRESS]
    return outcome_rows(_added(counts), {one: _beside(one, counts) for one in {one.server_address for one in counts}})


def _added(counts: list[FaultCount]) -> list[OutcomeCount]:
    sums: dict[tuple[int, str], tuple[int, int]] = {}
    for one in counts:
        count, late = sums.get((one.server_address, one.outcome), (0, 0))
        sums[one.server_address, one.outcome] = count + one.count, late + one.late_credited
    return [OutcomeCount(address, outcome, *both) for (address, outcome), both in sums.items()]


def _beside(server_address: int, counts: list[FaultCount]) -> Beside:
    of_server = [one for one in counts if one.server_address == server_address]
    return Beside(
        stray=sum(one.stray for one in of_server),
        stray_but_clean=sum(one.stray for one in of_server if column_of(one.outcome) in CLEAN),
        foreign=sum(one.foreign for one in of_server),
    )

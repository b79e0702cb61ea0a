"""Whether one exchange fits a filter, for figures that are taken exchange by exchange; kinds are not heeded."""

from __future__ import annotations

from collections.abc import Mapping

from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.fault_filter import FaultFilter
from buswalk.domain.statistics.reduction import sent_at_s

JobNames = Mapping[tuple[int, int], str]
"""Names of jobs by session and number."""


def fits(recorded: RecordedExchange, wanted: FaultFilter, jobs: JobNames) -> bool:
    """Tell whether every part of the filter but its kinds holds."""
    exchange = recorded.exchange
    began_s = sent_at_s(exchange)
    times = wanted.times
    return (
        (not wanted.addresses or exchange.server_address in wanted.addresses)
        and (not times or any(one.holds(recorded.session, began_s, began_s) for one in times))
        and (not wanted.inside or any(one.holds(recorded.session, began_s, exchange.ended_s) for one in wanted.inside))
        and (not wanted.jobs or jobs.get((recorded.session, recorded.job)) in wanted.jobs)
        and (not wanted.but_jobs or jobs.get((recorded.session, recorded.job)) not in wanted.but_jobs)
        and (not wanted.settings or exchange.settings in wanted.settings)
    )

"""Inside and outside of one mark, from two tables of counts: what the exact test of `two_by_two` is asked about."""

from __future__ import annotations

from collections.abc import Iterable
from math import isinf

from buswalk.domain.statistics.marked_spans import MarkedSpan
from buswalk.domain.statistics.outcome_table import OutcomeRow
from buswalk.domain.statistics.two_by_two import TwoByTwo


def outside_of(span: MarkedSpan, sessions: Iterable[int]) -> tuple[MarkedSpan, ...]:
    """Return what lies before and behind a span, and all other sessions; exchanges across an edge are in neither."""
    spans = [MarkedSpan(one, 0.0) for one in sessions if one != span.session]
    if span.from_s > 0.0:
        spans.append(MarkedSpan(span.session, 0.0, span.from_s))
    if not isinf(span.to_s):
        spans.append(MarkedSpan(span.session, span.to_s))
    return tuple(spans)


def contrast(inside: Iterable[OutcomeRow], outside: Iterable[OutcomeRow]) -> TwoByTwo:
    """Return the four counts, over all servers of both tables."""
    inside, outside = tuple(inside), tuple(outside)
    bad_in, bad_out = (sum(one.not_clean for one in rows) for rows in (inside, outside))
    all_in, all_out = (sum(one.trials for one in rows) for rows in (inside, outside))
    return TwoByTwo(bad_in, all_in - bad_in, bad_out, all_out - bad_out)

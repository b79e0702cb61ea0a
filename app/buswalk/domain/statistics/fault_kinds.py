"""Of which kinds an exchange is, as filters name them."""

from __future__ import annotations

from buswalk.domain.record_reader import RecordedExchange
from buswalk.domain.statistics.device_quality import credited_late, is_clean, is_trial
from buswalk.domain.statistics.fault_filter import FaultKind
from buswalk.domain.statistics.outcome_table import CLEAN, column_of, has_stray, outcome_name

_OF_OUTCOME = {one.value: one for one in FaultKind if one not in (FaultKind.LATE, FaultKind.STRAY)}


def kinds_of(recorded: RecordedExchange) -> frozenset[FaultKind]:
    """Return its kinds: none of a clean answer, two of a damaged one with stray bytes."""
    is_lost = column_of(outcome_name(recorded.exchange)) not in CLEAN
    if is_lost and credited_late(recorded) is not None:
        kinds = {FaultKind.LATE}
    else:
        kind = _OF_OUTCOME.get(outcome_name(recorded.exchange))
        kinds = {kind} if kind is not None else set()
    return frozenset(kinds | ({FaultKind.STRAY} if has_stray(recorded.exchange) else set()))


def is_listed(recorded: RecordedExchange, kinds: frozenset[FaultKind]) -> bool:
    """Tell whether the list of these kinds holds it; of no kinds it holds all that was not clean."""
    if kinds:
        return not kinds.isdisjoint(kinds_of(recorded))
    return is_trial(recorded.exchange) and not is_clean(recorded.exchange)

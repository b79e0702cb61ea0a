"""Of which kinds an exchange is, as filters name them."""

from __future__ import annotations

from buswalk.domain.statistics.counted_exchange import CountedExchange
from buswalk.domain.statistics.fault_filter import FaultKind
from buswalk.domain.statistics.outcome_table import CLEAN_OUTCOMES, NEVER_TRIED
from buswalk.domain.statistics.reduction import was_clean

_OF_OUTCOME = {one.value: one for one in FaultKind if one not in (FaultKind.LATE, FaultKind.STRAY)}


def kinds_of(one: CountedExchange) -> frozenset[FaultKind]:
    """Return its kinds: none of a clean answer, two of a damaged one with stray bytes."""
    if one.outcome not in CLEAN_OUTCOMES and one.late is not None:
        kinds = {FaultKind.LATE}
    else:
        kind = _OF_OUTCOME.get(one.outcome)
        kinds = {kind} if kind is not None else set()
    return frozenset(kinds | ({FaultKind.STRAY} if one.is_stray else set()))


def is_listed(one: CountedExchange, kinds: frozenset[FaultKind]) -> bool:
    """Tell whether the list of these kinds holds it; of no kinds it holds all that was not clean."""
    if kinds:
        return not kinds.isdisjoint(kinds_of(one))
    return one.outcome not in NEVER_TRIED and not was_clean(one)

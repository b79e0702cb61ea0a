"""Which read tells most about what is still unknown of a map.

    known | ? ? ? ? ? ? ...
          ^ the first unknown address

Behind an address that is not there, every `shortest_span`-th address is asked alone: no span fits between two refusals.
A hit is led back to the first address of its span, then its end is halved in: lengths are taken to be as likely as
their reciprocals, so that long spans are asked in long reads and short ones are not overshot by much.
"""

from __future__ import annotations

from math import ceil, sqrt

from buswalk.domain.registers.map_learning.known_map import KnownMap, Read, Standing

USUAL_ROOM = 1000
"""Beyond a span so many addresses are thought of: few lists go on for longer without a hole (judgement, no source)."""
ENOUGH_SPANS = 3
"""After so many spans of a device have ended, the longest of them, doubled, is thought of instead."""


def next_read(known: KnownMap) -> Read | None:
    """Return the next read; None when nothing is unknown any more."""
    first = known.first_unknown()
    if first > known.block.last:
        return None
    last = known.run_end(first)
    before = known.standing(first - 1)
    if before is Standing.READABLE:
        return _onward(known, first, last)
    if first == known.block.first and known.refusal_at(first) is None and last > first:
        return Read(first, min(known.limit.usable, last - first + 1))
    if before is Standing.ABSENT:
        return _across(known, first, last)
    return Read(first, 1)


def _across(known: KnownMap, first: int, last: int) -> Read:
    """Nothing is there before `first`: look for the next span, or for where the one behind `last` begins."""
    step = known.shortest_span
    after = known.standing(last + 1) if last < known.block.last else Standing.UNKNOWN
    if after is Standing.READABLE and last - first + 1 < step:
        middle = first + (last - first + 1) // 2
        return Read(middle, last + 2 - middle)
    return Read(min(first + step - 1, last), 1)


def _onward(known: KnownMap, first: int, last: int) -> Read:
    """The span before `first` goes on or not: ask so far that both answers are about as likely."""
    length = known.run_before(first)
    refused = known.refusal_at(first)
    most = known.limit.usable
    if refused is None:
        more = _likely_more(length, _room(known), known.shortest_span)
        return Read(first, max(1, min(most, last - first + 1, more)))
    beyond = refused.read.last - first
    if beyond == 0:
        return Read(first, 1)
    return Read(first, max(1, min(most, beyond, _likely_more(length, beyond, known.shortest_span))))


def _room(known: KnownMap) -> int:
    return 2 * max(known.ended) if len(known.ended) >= ENOUGH_SPANS else USUAL_ROOM


def _likely_more(length: int, most: int, shortest_span: int) -> int:
    """Return how many more addresses a span of `length` has with even odds, if it can have up to `most`."""
    least = max(length, shortest_span - 1)
    middle = sqrt(least * (length + most)) if length + most > least else float(length + most)
    return ceil(middle) - length

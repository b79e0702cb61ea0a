"""How many reads a map needs at least, even from one who knows it and must only prove it."""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil

from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS
from buswalk.domain.registers.profile import Block


def fewest_reads(block: Block, spans: Sequence[Block], shortest_span: int, largest_quantity: int) -> int:
    """Return the least number of reads that prove these spans, in order and apart, to be all there is in the block.

    A span needs enough reads to cover it. Of a hole, both addresses next to spans or open ends must be refused alone,
    and between two refusals there may be no room for a span.
    """
    count = sum(ceil(one.quantity / largest_quantity) for one in spans)
    starts = [one.first for one in spans] + [block.last + 1]
    ends = [block.first - 1] + [one.last for one in spans]
    for end, start in zip(ends, starts, strict=True):
        hole = start - end - 1
        open_left = end >= block.first or block.first > 0
        open_right = start <= block.last or block.last < LAST_REGISTER_ADDRESS
        count += _refusals(hole, int(open_left) + int(open_right), shortest_span)
    return count


def _refusals(hole: int, ends: int, shortest_span: int) -> int:
    if hole == 0:
        return 0
    if hole == 1 and ends:
        return 1
    inside = hole - ends
    return ends + max(0, ceil((inside - (shortest_span - 1)) / shortest_span))

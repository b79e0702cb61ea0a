"""Which of the frames that could be are true: no two overlap, as few bytes as possible stay unexplained.

A frame that is believed alone needs nothing else. Another one, such as a request of four bytes or one whose quantity no
server may accept, needs a partner beside it or silence on both sides. A whole burst between two silences whose CRC is
right is a frame whatever it says: so functions that this program does not know are heard too.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator

import numpy as np

from buswalk.domain.listening.frame_scan import ANSWERS, ASKS, EITHER, Candidates
from buswalk.domain.listening.running_crc import Bytes8, Flags, Offsets
from buswalk.domain.modbus.adu import LARGEST_ADU_BYTES, SMALLEST_ADU_BYTES
from buswalk.domain.modbus.crc16 import has_right_crc

STRAY_BYTES = 3
"""A driver that takes or leaves an unbiased line adds one to three bytes (common practice, no source): a partner may
stand behind so many."""
FUNCTION_BITS = 0x7F
"""A function code without the bit that makes it an exception (Application V1.1b3, 7)."""
_BITS_OF_CRC = 16
_BITS_OF_CRC_AND_PARTNER = 24
"""A partner of the same address and function is rarer than a byte that fits by chance, such as 00 behind a frame."""
_BITS_A_BYTE_EXPLAINED = 2
_BITS_OF_SILENCE_INSIDE = 8


def without_those_over(walls: Offsets, candidates: Candidates) -> Candidates:
    """Drop what reaches over a wall: no frame does."""
    return candidates.kept(~_has_inside(walls, candidates))


def chosen(data: Bytes8, candidates: Candidates, silences: Offsets) -> Candidates:
    """Return the true frames, by offset; `silences` are the offsets with a sure silence in front."""
    candidates = _with_whole_bursts(data, candidates, silences)
    candidates = candidates.kept(candidates.legal | _has_partner(data, candidates))
    taken = _without_overlap(candidates, _has_inside(silences, candidates))
    kept = candidates.kept(taken)
    return kept.kept(kept.legal | _has_partner(data, kept))


def _has_inside(places: Offsets, candidates: Candidates) -> Flags:
    first = np.searchsorted(places, candidates.begins, side="right")
    inside: Flags = first < np.searchsorted(places, candidates.ends, side="left")
    return inside


def _with_whole_bursts(data: Bytes8, candidates: Candidates, silences: Offsets) -> Candidates:
    """Believe candidates with silence on both sides, and add bursts with a right CRC that are none yet."""
    if len(silences) < 2:
        return candidates
    begins, ends = silences[:-1], silences[1:]
    length = ends - begins
    fits = (length >= SMALLEST_ADU_BYTES) & (length <= LARGEST_ADU_BYTES)
    begins, ends = begins[fits], ends[fits]
    bursts = begins * (LARGEST_ADU_BYTES + 1) + (ends - begins)
    keys = candidates.begins * (LARGEST_ADU_BYTES + 1) + (candidates.ends - candidates.begins)
    is_burst = np.isin(keys, bursts)
    # A burst is looked at as a whole only if nothing in it is believed: a right frame with 00 behind it is right too.
    legal_begins = candidates.begins[candidates.legal]
    others = np.searchsorted(legal_begins, begins) == np.searchsorted(legal_begins, ends)
    others &= ~np.isin(bursts, keys)
    more = [
        (int(begin), int(end))
        for begin, end in zip(begins[others], ends[others], strict=True)
        if has_right_crc(data[begin:end].tobytes())
    ]
    return _joined(candidates, is_burst, more)


def _joined(candidates: Candidates, is_burst: Flags, more: list[tuple[int, int]]) -> Candidates:
    legal: Flags = candidates.legal | is_burst
    begins = np.concatenate((candidates.begins, np.array([one[0] for one in more], dtype=np.intp)))
    ends = np.concatenate((candidates.ends, np.array([one[1] for one in more], dtype=np.intp)))
    roles = np.concatenate((candidates.roles, np.full(len(more), EITHER, dtype=np.uint8)))
    legal = np.concatenate((legal, np.ones(len(more), dtype=np.bool_)))
    order = np.lexsort((ends, begins))
    return Candidates(begins[order], ends[order], roles[order], legal[order], candidates.open_heads)


def partners(data: Bytes8, candidates: Candidates) -> Iterator[tuple[int, int]]:
    """Yield pairs of places: a frame that is not believed alone, and one beside it that it asks or answers."""
    begins, ends, roles = candidates.begins, candidates.ends, candidates.roles
    for weak in np.flatnonzero(~candidates.legal).tolist():
        begin, end = int(begins[weak]), int(ends[weak])
        if roles[weak] & ASKS:
            low, high = np.searchsorted(begins, (end, end + STRAY_BYTES + 1)).tolist()
            for other in range(low, high):
                if roles[other] & ANSWERS and _are_partners(data, begin, int(begins[other])):
                    yield weak, other
        if roles[weak] & ANSWERS:
            for other in range(int(np.searchsorted(begins, begin - STRAY_BYTES - LARGEST_ADU_BYTES)), weak):
                is_beside = 0 <= begin - ends[other] <= STRAY_BYTES
                if is_beside and roles[other] & ASKS and _are_partners(data, int(begins[other]), begin):
                    yield weak, other


def _has_partner(data: Bytes8, candidates: Candidates) -> Flags:
    found: Flags = np.zeros(len(candidates.begins), dtype=np.bool_)
    found[[weak for weak, _ in partners(data, candidates)]] = True
    return found


def _are_partners(data: Bytes8, request: int, reply: int) -> bool:
    is_same = data[request] == data[reply] and data[request + 1] == data[reply + 1] & FUNCTION_BITS
    return bool(is_same)


def _without_overlap(candidates: Candidates, is_interrupted: Flags) -> Flags:
    """Choose among those that overlap; most overlap with nothing."""
    taken: Flags = np.ones(len(candidates.begins), dtype=np.bool_)
    if len(taken) < 2:
        return taken
    furthest = np.maximum.accumulate(candidates.ends)
    first_of_cluster = np.concatenate(([True], candidates.begins[1:] >= furthest[:-1]))
    edges = np.append(np.flatnonzero(first_of_cluster), len(taken))
    for cluster in np.flatnonzero(np.diff(edges) > 1):
        low, high = int(edges[cluster]), int(edges[cluster + 1])
        taken[low:high] = False
        taken[low + _best_of(candidates, is_interrupted, low, high)] = True
    return taken


def _best_of(candidates: Candidates, is_interrupted: Flags, low: int, high: int) -> Offsets:
    """Return which frames of a cluster to take: the greatest sum of bits that speak for them (weighted intervals)."""
    begins, ends = candidates.begins[low:high], candidates.ends[low:high]
    bits = np.where(candidates.legal[low:high], _BITS_OF_CRC, _BITS_OF_CRC_AND_PARTNER)
    bits = bits + _BITS_A_BYTE_EXPLAINED * (ends - begins) - _BITS_OF_SILENCE_INSIDE * is_interrupted[low:high]
    order = np.argsort(ends, kind="stable").tolist()
    sorted_ends = ends[order].tolist()
    best = [0]
    before: list[int] = []
    for place, one in enumerate(order):
        before.append(bisect_right(sorted_ends, begins[one], hi=place))
        best.append(max(best[-1], best[before[-1]] + int(bits[one])))
    taken: list[int] = []
    place = len(order)
    while place > 0:
        if best[place] == best[place - 1]:
            place -= 1
        else:
            taken.append(order[place - 1])
            place = before[place - 1]
    return np.array(taken, dtype=np.intp)

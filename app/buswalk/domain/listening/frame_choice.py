"""Which of the frames that could be are true: no two overlap, as few bytes as possible stay unexplained.

A frame that is believed alone needs nothing else. Another one, such as a request of four bytes or one whose quantity no
server may accept, needs a partner beside it or silence on both sides; a request is also believed where it is all that
lies between two true frames. A whole burst between two silences whose CRC is right is a frame whatever it says: so
functions that this program does not know are heard too.
"""

from __future__ import annotations

from bisect import bisect_right
from dataclasses import dataclass

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


@dataclass(frozen=True, slots=True)
class Partners:
    """Places of candidates: one that is not believed alone, and one beside it that it asks or answers."""

    weak: Offsets
    other: Offsets

    def found(self, among: Flags) -> Flags:
        """Tell which candidates have a partner among these, being one of them."""
        both = among[self.weak] & among[self.other]
        found: Flags = np.zeros(len(among), dtype=np.bool_)
        found[self.weak[both]] = True
        return found

    def joined(self, other: Partners) -> Partners:
        """Return these and others."""
        return Partners(np.concatenate((self.weak, other.weak)), np.concatenate((self.other, other.other)))


def without_those_over(walls: Offsets, candidates: Candidates) -> Candidates:
    """Drop what reaches over a wall: no frame does."""
    return candidates.kept(~_has_inside(walls, candidates))


def chosen(candidates: Candidates, partners: Partners, silences: Offsets, ended_before: Offsets) -> Candidates:
    """Return the true frames, by offset.

    `silences` are the offsets with a sure silence in front; `ended_before` are those at which a frame ended that was
    given out earlier.
    """
    everywhere: Flags = np.ones(len(candidates.begins), dtype=np.bool_)
    places = np.flatnonzero(candidates.legal | partners.found(everywhere))
    possible = candidates.kept(places)
    taken: Flags = np.zeros(len(candidates.begins), dtype=np.bool_)
    taken[places[_without_overlap(possible, _has_inside(silences, possible))]] = True
    taken &= candidates.legal | partners.found(taken)
    taken[_filling(candidates, taken, ended_before)] = True
    return candidates.kept(taken)


def followers_of(candidates: Candidates) -> Partners:
    """Return each request that is not believed alone with what stands right behind it: none is decided without it."""
    weak = np.flatnonzero(~candidates.legal & (candidates.roles & ASKS != 0))
    number, behind = _between(
        np.arange(len(candidates.begins)), candidates.begins, candidates.ends[weak], candidates.ends[weak]
    )
    return Partners(weak[number], behind)


def _filling(candidates: Candidates, taken: Flags, ended_before: Offsets) -> list[int]:
    """Return requests, not believed so far, that fill what lies between two true frames, alone or one after another."""
    begins, ends = candidates.begins[taken], candidates.ends[taken]
    possible = np.flatnonzero(~candidates.legal & ~taken & (candidates.roles & ASKS != 0)).tolist()
    ended_at, begun_at = {*ends.tolist(), *ended_before.tolist()}, set(begins.tolist())
    filling: list[int] = []
    for one in possible:
        begin, end = int(candidates.begins[one]), int(candidates.ends[one])
        is_free = np.searchsorted(ends, begin, side="right") == np.searchsorted(begins, end)
        if begin in ended_at and is_free:
            ended_at.add(end)
            filling.append(one)
    behind: list[int] = []
    for one in reversed(filling):
        if int(candidates.ends[one]) in begun_at:
            begun_at.add(int(candidates.begins[one]))
            behind.append(one)
    return behind


def _has_inside(places: Offsets, candidates: Candidates) -> Flags:
    first = np.searchsorted(places, candidates.begins, side="right")
    inside: Flags = first < np.searchsorted(places, candidates.ends, side="left")
    return inside


def with_whole_bursts(data: Bytes8, candidates: Candidates, silences: Offsets) -> Candidates:
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
    return _joined(data, candidates, is_burst, more)


def _joined(data: Bytes8, candidates: Candidates, is_burst: Flags, more: list[tuple[int, int]]) -> Candidates:
    legal: Flags = candidates.legal | is_burst
    # Whatever the function: with the bit of an exception it answers (Application V1.1b3, 4.1: requests have 1 to 127).
    more_roles = [ANSWERS if data[begin + 1] > FUNCTION_BITS else EITHER for begin, _ in more]
    begins = np.concatenate((candidates.begins, np.array([one[0] for one in more], dtype=np.intp)))
    ends = np.concatenate((candidates.ends, np.array([one[1] for one in more], dtype=np.intp)))
    roles = np.concatenate((candidates.roles, np.array(more_roles, dtype=np.uint8)))
    legal = np.concatenate((legal, np.ones(len(more), dtype=np.bool_)))
    order = np.lexsort((ends, begins))
    return Candidates(begins[order], ends[order], roles[order], legal[order], candidates.open_heads)


def partners_of(data: Bytes8, candidates: Candidates) -> Partners:
    """Return the pairs in which a frame that is not believed alone stands beside one of its address and function."""
    begins, ends, roles = candidates.begins, candidates.ends, candidates.roles
    weak = np.flatnonzero(~candidates.legal)
    by_end = np.argsort(ends, kind="stable")
    asking = weak[roles[weak] & ASKS != 0]
    behind = _between(np.arange(len(begins)), begins, ends[asking], ends[asking] + STRAY_BYTES)
    answering = weak[roles[weak] & ANSWERS != 0]
    before = _between(by_end, ends[by_end], begins[answering] - STRAY_BYTES, begins[answering])
    requests = np.concatenate((asking[behind[0]], before[1]))
    replies = np.concatenate((behind[1], answering[before[0]]))
    is_weak_the_request = np.arange(len(requests)) < len(behind[0])
    are_partners = (roles[requests] & ASKS != 0) & (roles[replies] & ANSWERS != 0)
    are_partners &= data[begins[requests]] == data[begins[replies]]
    are_partners &= data[begins[requests] + 1] == data[begins[replies] + 1] & FUNCTION_BITS
    return Partners(
        np.where(is_weak_the_request, requests, replies)[are_partners],
        np.where(is_weak_the_request, replies, requests)[are_partners],
    )


def _between(places: Offsets, values: Offsets, lowest: Offsets, highest: Offsets) -> tuple[Offsets, Offsets]:
    """Return pairs (number of a range, place): each place whose value lies in that range; `values` rise."""
    low, high = np.searchsorted(values, lowest), np.searchsorted(values, highest, side="right")
    count = high - low
    number = np.repeat(np.arange(len(count)), count)
    within = np.arange(len(number)) - np.repeat(np.cumsum(count) - count, count)
    return number, places[np.repeat(low, count) + within]


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

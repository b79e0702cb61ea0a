"""Bytes as they come -> frames and what lies between them, each byte once. Who asked whom is decided elsewhere.

What is given out does not depend on how the bytes were cut: a piece is given out only when no byte still to come could
change it. Until then it waits, 256 bytes at most, or until the line was silent.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from buswalk.domain.listening.frame_choice import (
    STRAY_BYTES,
    Partners,
    chosen,
    followers_of,
    partners_of,
    with_whole_bursts,
    without_those_over,
)
from buswalk.domain.listening.frame_scan import ASKS, Candidates, scan
from buswalk.domain.listening.heard_bytes import HeardBytes, Pace
from buswalk.domain.listening.running_crc import Offsets
from buswalk.domain.modbus.adu import LARGEST_ADU_BYTES


@dataclass(frozen=True, slots=True)
class Cut:
    """The frames in front of `decided`; every byte there is in one of them or between them.

    Attributes:
        begins, ends: Where they stand, in order; offsets count from the first byte ever heard.
        roles: What each can be, by length and legality alone.
    """

    begins: Offsets
    ends: Offsets
    roles: NDArray[np.uint8]
    decided: int


@dataclass(frozen=True, slots=True)
class _Seen:
    """All that could be in the bytes that are here; offsets count from the first of them."""

    candidates: Candidates
    partners: Partners
    together: Partners
    walls: Offsets
    silences: Offsets
    known: int


class FrameStream:
    """Finds the frames in what it is given.

    `heard` takes the bytes; whoever uses a cut takes what it needs of them and then drops it.
    """

    def __init__(self, pace: Pace) -> None:
        self.heard = HeardBytes(pace)
        self._ended_before: Offsets = np.zeros(0, dtype=np.intp)

    def drop(self, cut: Cut) -> None:
        """Forget the bytes of a cut; that its last frame ended where it did may speak for the next."""
        self.heard.drop_until(cut.decided)
        if len(cut.ends):
            self._ended_before = cut.ends[-1:]

    def cut(self) -> Cut:
        """Return the frames that are sure now."""
        return self._cut(is_last=False)

    def cut_all(self) -> Cut:
        """Return the frames that there are if nothing more comes."""
        return self._cut(is_last=True)

    def decided_by_silence(self) -> int:
        """Return up to where more bytes change nothing if a wall is all that comes next."""
        seen = self._seen(is_last=True)
        return self.heard.begin + _decided_before_wall(seen.candidates, seen.together, seen.known)

    def _seen(self, *, is_last: bool) -> _Seen:
        base = self.heard.begin
        data = self.heard.all()
        walls, silences = self.heard.walls() - base, self.heard.inter_frame_silences() - base
        walls, silences = walls[walls >= 0], silences[silences >= 0]
        if is_last:
            walls, silences = np.append(walls, len(data)), np.append(silences, len(data))
        candidates = with_whole_bursts(data, without_those_over(walls, scan(data)), silences)
        partners = partners_of(data, candidates)
        return _Seen(candidates, partners, partners.joined(followers_of(candidates)), walls, silences, len(data))

    def _cut(self, *, is_last: bool) -> Cut:
        base = self.heard.begin
        seen = self._seen(is_last=is_last)
        candidates, partners, silences = seen.candidates, seen.partners, seen.silences
        decided = seen.known
        if not is_last:
            decided = _decided(candidates, seen.together, seen.walls, silences, seen.known)
        true = chosen(candidates, partners, silences, self._ended_before - base)
        sure = true.kept(true.ends <= decided)
        return Cut(base + sure.begins, base + sure.ends, sure.roles, base + decided)


def _decided(candidates: Candidates, partners: Partners, walls: Offsets, silences: Offsets, known: int) -> int:
    """Return up to where more bytes change nothing.

    Open is what may still become a frame, and the burst since the last silence, which may become one as a whole. What
    overlaps something open is in doubt, what overlaps that too; so is a request whose reply may begin within the open,
    and of two that speak for each other none is decided without the other. Over a wall nothing reaches back.
    """
    wall = int(walls[-1]) if len(walls) else 0
    open_from = min(candidates.open_heads[candidates.open_heads >= wall].tolist(), default=known)
    if len(silences) and known - silences[-1] <= LARGEST_ADU_BYTES:
        open_from = min(open_from, int(silences[-1]))
    awaits = (candidates.roles & ASKS != 0) & (candidates.ends + STRAY_BYTES >= open_from)
    decided = min(candidates.begins[awaits].tolist(), default=open_from)
    return _without_crossing(candidates, partners, min(decided, open_from))


def _decided_before_wall(candidates: Candidates, partners: Partners, known: int) -> int:
    """Return the same where a wall stands behind all that is known: nothing reaches over it.

    But a request that is not believed alone, and not by silence around it, may still be by what stands behind the wall.
    """
    awaits = ~candidates.legal & (candidates.roles & ASKS != 0) & (candidates.ends + STRAY_BYTES >= known)
    return _without_crossing(candidates, partners, min(candidates.begins[awaits].tolist(), default=known))


def _without_crossing(candidates: Candidates, partners: Partners, decided: int) -> int:
    """Return an offset at or before this one that no frame and no pair which could be reaches over."""
    first, second = np.minimum(partners.weak, partners.other), np.maximum(partners.weak, partners.other)
    begins = np.concatenate((candidates.begins, candidates.begins[first]))
    ends = np.concatenate((candidates.ends, candidates.ends[second]))
    while len(crossing := begins[(begins < decided) & (ends > decided)]):
        decided = int(crossing.min())
    return decided

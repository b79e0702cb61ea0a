"""What kind of traffic there is: silence, whole frames, bytes that make none, a line held at space."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark
from buswalk.domain.listening.grammar import false_frames_a_byte
from buswalk.domain.listening.heard_exchange import HeardExchange, HeardPiece
from buswalk.domain.modbus.frame_splitter import Skipped
from buswalk.domain.search.events import Verdict

LIKELY_BY_CHANCE = 1e-3
"""Frames that random bytes would make with this probability do not prove a client."""


def verdict_of(arrivals: Sequence[Arrival], pieces: Iterable[HeardPiece]) -> Verdict:
    """Return what kind of traffic these arrivals are, decoded into these pieces."""
    data = b"".join(one.data for one in arrivals)
    marks = [mark for one in arrivals for mark in one.marks]
    if not data and not marks:
        return Verdict.SILENT
    if _proves_a_client(pieces, len(data)):
        return Verdict.TRAFFIC
    breaks = [mark for mark in marks if mark.mark is LineMark.BREAK]
    if breaks and not data.strip(b"\x00"):
        return Verdict.HELD
    if data == b"\x00" and any(isinstance(mark, ByteMark) for mark in marks):
        return Verdict.HELD
    return Verdict.BABBLE


def _proves_a_client(pieces: Iterable[HeardPiece], byte_count: int) -> bool:
    """A request with its reply does; so do more lone frames than so many random bytes would make."""
    lone = 0
    for piece in pieces:
        if isinstance(piece, HeardExchange):
            return True
        lone += not isinstance(piece, Skipped)
    expected = false_frames_a_byte() * byte_count
    return lone > 0 and _chance_of_so_many(lone, expected) < LIKELY_BY_CHANCE


def _chance_of_so_many(count: int, expected: float) -> float:
    """Return a bound on the chance of `count` or more where `expected` come on average (Chernoff, Poisson law)."""
    if count <= expected:
        return 1.0
    return math.exp(count - expected - count * math.log(count / expected))

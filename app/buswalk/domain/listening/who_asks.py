"""Who is asked what, how often, and how it is answered: what the decoder hears, counted."""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from statistics import median

from buswalk.domain.listening.heard_exchange import (
    HeardBroadcast,
    HeardExchange,
    HeardFrame,
    HeardPiece,
    UnansweredRequest,
    UnaskedReply,
)
from buswalk.domain.modbus.exchange import NoTurnaround, Turnaround, TurnaroundSeen
from buswalk.domain.modbus.frame_splitter import Skipped

MOST_REQUESTS = 200
"""So many different requests are told apart: a client has a round, and false frames are rare."""
INTERVALS_KEPT = 128


@dataclass(frozen=True, slots=True)
class RepeatedRequest:
    """One request that another client makes.

    Attributes:
        pdu: As sent, without address and CRC.
        answered, refused: Of `asked`; a refusal is an answer too and counted in both.
        period_s: Median time from one to the next, so that one that was damaged does not count; 0 while it was heard
            once, or without times.
        turnaround: From the quickest to the slowest reply heard, as far as times tell.
    """

    server_address: int
    pdu: bytes
    asked: int
    answered: int
    refused: int
    period_s: float
    turnaround: TurnaroundSeen

    @property
    def function_code(self) -> int:
        """What it asks for."""
        return self.pdu[0]


@dataclass(frozen=True, slots=True)
class UnaskedReplies:
    """So many replies of one server whose requests were not heard whole."""

    server_address: int
    count: int


@dataclass(slots=True)
class _Row:
    first_s: float
    last_s: float
    asked: int = 0
    answered: int = 0
    refused: int = 0
    quickest_s: float = math.inf
    slowest_s: float = -math.inf
    intervals_s: deque[float] = field(default_factory=lambda: deque(maxlen=INTERVALS_KEPT))


@dataclass(slots=True)
class WhoAsks:
    """Takes pieces in order; may be asked at any time."""

    _rows: dict[tuple[int, bytes], _Row] = field(default_factory=dict)
    _unasked: dict[int, int] = field(default_factory=dict)

    def take(self, pieces: Iterable[HeardPiece]) -> None:
        """Count them."""
        for piece in pieces:
            match piece:
                case HeardExchange(request, reply, _):
                    row = self._asked(request)
                    if row is not None:
                        _answered(row, piece, is_refusal=reply.is_refusal)
                case UnansweredRequest(request) | HeardBroadcast(request):
                    self._asked(request)
                case UnaskedReply(reply):
                    self._unasked[reply.server_address] = self._unasked.get(reply.server_address, 0) + 1
                case Skipped():
                    pass

    def and_also(self, pieces: Iterable[HeardPiece]) -> WhoAsks:
        """Return what it would be with these too, and leave this one as it is."""
        other = WhoAsks(
            {key: replace(row, intervals_s=row.intervals_s.copy()) for key, row in self._rows.items()},
            dict(self._unasked),
        )
        other.take(pieces)
        return other

    @property
    def requests(self) -> tuple[RepeatedRequest, ...]:
        """What is asked, by address, then by what came first."""
        rows = sorted(self._rows.items(), key=lambda item: (item[0][0], item[1].first_s))
        return tuple(
            RepeatedRequest(address, pdu, row.asked, row.answered, row.refused, _period_s(row), _turnaround(row))
            for (address, pdu), row in rows
        )

    @property
    def unasked_replies(self) -> tuple[UnaskedReplies, ...]:
        """Replies without a request, by address."""
        return tuple(UnaskedReplies(address, count) for address, count in sorted(self._unasked.items()))

    @property
    def round_s(self) -> float:
        """How often the whole round comes: the longest period of what was heard twice; 0 while nothing was."""
        return max((_period_s(row) for row in self._rows.values()), default=0.0)

    def _asked(self, request: HeardFrame) -> _Row | None:
        key = (request.server_address, request.pdu)
        at_s = request.ended_not_after_s
        row = self._rows.get(key)
        if row is None:
            if len(self._rows) >= MOST_REQUESTS:
                return None
            row = self._rows[key] = _Row(at_s, at_s)
        elif math.isfinite(at_s):
            row.intervals_s.append(at_s - row.last_s)
        row.asked += 1
        row.last_s = at_s
        return row


def _answered(row: _Row, exchange: HeardExchange, *, is_refusal: bool) -> None:
    row.answered += 1
    row.refused += is_refusal
    match exchange.turnaround:
        case Turnaround(not_less_than_s, not_more_than_s):
            row.quickest_s = min(row.quickest_s, not_less_than_s)
            row.slowest_s = max(row.slowest_s, not_more_than_s)
        case NoTurnaround():
            pass


def _period_s(row: _Row) -> float:
    return median(row.intervals_s) if row.intervals_s else 0.0


def _turnaround(row: _Row) -> TurnaroundSeen:
    return Turnaround(row.quickest_s, row.slowest_s) if row.slowest_s >= row.quickest_s else NoTurnaround()

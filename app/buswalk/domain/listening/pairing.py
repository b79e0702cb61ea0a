"""Frames in order -> who asks and who answers. Order, what each frame can be, and what lies between decide together.

Some frames are the same whether they ask or answer: a write of one register is answered by its own bytes. A run of such
frames is decided as a whole, by what is least unlikely; costs are in bits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.listening.answer_fit import fit_of
from buswalk.domain.listening.frame_scan import ANSWERS, ASKS, EITHER
from buswalk.domain.listening.heard_exchange import (
    Fit,
    HeardBroadcast,
    HeardExchange,
    HeardFrame,
    HeardPiece,
    UnansweredRequest,
    UnaskedReply,
)
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS

LONGEST_TURNAROUND_S = 5.0
"""A reply that surely came later is not counted as the answer to a request overheard."""
MOST_BYTES_BETWEEN = 9
"""Stray bytes between a request and its reply; more may hide a damaged reply and the next request."""
LONGEST_RUN = 64
_FEWEST_BYTES_OF_A_FRAME = 4

_REPLY_LOST = 3.0
_REPLY_MAY_BE_AMONG_BYTES = 0.5
_REQUEST_LOST = 6.0
_REQUEST_MAY_BE_AMONG_BYTES = 3.0
_REQUEST_IS_AMONG_BYTES = 1.0
_REQUEST_BEFORE_LISTENING = 2.0
_STRAY_BYTES = 1.0
_A_SECOND_OF_TURNAROUND = 2.0


@dataclass(frozen=True, slots=True)
class OrderedFrame:
    """A frame with the bytes of no frame right before it."""

    frame: HeardFrame
    roles: int
    bytes_before: bytes


@dataclass(frozen=True, slots=True)
class _Path:
    """Roles of a run up to some frame, with what speaks against them; `open` is the request that awaits its reply."""

    cost: float
    roles: tuple[int, ...]
    open: HeardFrame | None


class Pairing:
    """Takes frames in order and gives each out once, alone or with its partner."""

    def __init__(self) -> None:
        self._open: HeardFrame | None = None
        self._bytes_since_open = 0
        self._run: list[OrderedFrame] = []

    def copy(self) -> Pairing:
        """Return another one in the same state: for a look at what would follow if nothing more came."""
        other = Pairing()
        other._open, other._bytes_since_open, other._run = self._open, self._bytes_since_open, list(self._run)
        return other

    def offsets_in_run(self) -> frozenset[int]:
        """Return where the frames begin of which it is open whether they ask or answer."""
        return frozenset(one.frame.offset for one in self._run)

    def take(self, frame: HeardFrame, roles: int, bytes_before: bytes, pieces: list[HeardPiece]) -> None:
        """Take a frame with the bytes of no frame right before it; add to `pieces` what is decided by it."""
        if roles == EITHER:
            self._run.append(OrderedFrame(frame, roles, bytes_before))
            if len(self._run) >= LONGEST_RUN:
                self._end_run(None, pieces)
            return
        if self._run:
            self._end_run(OrderedFrame(frame, roles, bytes_before), pieces)
        self._place(frame, roles, bytes_before, pieces)

    def finish(self) -> list[HeardPiece]:
        """Return what still waited: nothing more comes."""
        pieces: list[HeardPiece] = []
        self._end_run(None, pieces)
        self._close(pieces)
        return pieces

    def _place(self, frame: HeardFrame, role: int, bytes_before: bytes, pieces: list[HeardPiece]) -> None:
        request = self._open
        if role == ASKS:
            if request is not None:
                self._close(pieces)
            self._open, self._bytes_since_open = frame, 0
            return
        self._bytes_since_open += len(bytes_before)
        if request is not None:
            fit = _fit(request, frame, self._bytes_since_open)
            if fit is not None:
                self._open = None
                pieces.append(HeardExchange(request, frame, fit))
                return
        self._close(pieces)
        pieces.append(UnaskedReply(frame))

    def _close(self, pieces: list[HeardPiece]) -> None:
        request, self._open = self._open, None
        if request is None:
            return
        is_to_all = request.adu[0] == BROADCAST_ADDRESS
        pieces.append(HeardBroadcast(request) if is_to_all else UnansweredRequest(request))

    def _end_run(self, following: OrderedFrame | None, pieces: list[HeardPiece]) -> None:
        run, self._run = self._run, []
        if not run:
            return
        are_plain = self._open is None and len(run) % 2 == 0 and all(map(_is_plain_pair, run[::2], run[1::2]))
        roles = (ASKS, ANSWERS) * (len(run) // 2) if are_plain else _roles_of(run, self._open, following)
        for one, role in zip(run, roles, strict=True):
            self._place(one.frame, role, one.bytes_before, pieces)


def _is_plain_pair(first: OrderedFrame, second: OrderedFrame) -> bool:
    """Tell the usual case, in which nothing but a request and its reply is likely."""
    if first.bytes_before or second.bytes_before:
        return False
    is_soon = _surely_between_s(first.frame, second.frame) * _A_SECOND_OF_TURNAROUND < _REPLY_LOST
    return is_soon and _fit(first.frame, second.frame, 0) is Fit.EXACT


def _fit(request: HeardFrame, reply: HeardFrame, bytes_between: int) -> Fit | None:
    fit = fit_of(request.adu, reply.adu)
    if fit is None or bytes_between > MOST_BYTES_BETWEEN:
        return None
    if _surely_between_s(request, reply) > LONGEST_TURNAROUND_S:
        return None
    return None if fit is Fit.SAME_FUNCTION and bytes_between else fit


def _surely_between_s(request: HeardFrame, reply: HeardFrame) -> float:
    return reply.begun_not_before_s - request.ended_not_after_s


def _roles_of(
    run: Sequence[OrderedFrame], awaiting: HeardFrame | None, following: OrderedFrame | None
) -> tuple[int, ...]:
    """Return the least unlikely roles of frames that could be either."""
    paths = [_Path(0.0, (), awaiting)]
    for one in run:
        asked = [_asks(path, one) for path in paths]
        answered = [_answers(path, one) for path in paths]
        paths = [min(asked, key=_cost), min(answered, key=_cost)]
    if following is not None:
        paths = [_asks(path, following) if following.roles == ASKS else _answers(path, following) for path in paths]
    return min(paths, key=_cost).roles[: len(run)]


def _cost(path: _Path) -> float:
    return path.cost


def _asks(path: _Path, one: OrderedFrame) -> _Path:
    return _Path(path.cost + _cost_of_silence(path.open, one), (*path.roles, ASKS), one.frame)


def _answers(path: _Path, one: OrderedFrame) -> _Path:
    roles = (*path.roles, ANSWERS)
    if path.open is not None and _fit(path.open, one.frame, len(one.bytes_before)) is Fit.EXACT:
        seconds = min(LONGEST_TURNAROUND_S, max(0.0, _surely_between_s(path.open, one.frame)))
        strays = _STRAY_BYTES if one.bytes_before else 0.0
        return _Path(path.cost + strays + _A_SECOND_OF_TURNAROUND * seconds, roles, None)
    lost = _cost_of_silence(path.open, one) + _cost_of_lost_request(one)
    return _Path(path.cost + lost, roles, None)


def _cost_of_silence(request: HeardFrame | None, one: OrderedFrame) -> float:
    """What speaks against a request having no reply before this frame."""
    if request is None or request.adu[0] == BROADCAST_ADDRESS:
        return 0.0
    return _REPLY_MAY_BE_AMONG_BYTES if len(one.bytes_before) >= _FEWEST_BYTES_OF_A_FRAME else _REPLY_LOST


def _cost_of_lost_request(one: OrderedFrame) -> float:
    if _is_damaged(one.bytes_before, one.frame.adu):
        return _REQUEST_IS_AMONG_BYTES
    if len(one.bytes_before) >= _FEWEST_BYTES_OF_A_FRAME:
        return _REQUEST_MAY_BE_AMONG_BYTES
    return _REQUEST_BEFORE_LISTENING if one.frame.offset == len(one.bytes_before) else _REQUEST_LOST


def _is_damaged(heard: bytes, adu: bytes) -> bool:
    """Tell whether bytes are this frame but for one place: changed, lost or added."""
    if abs(len(heard) - len(adu)) > 1:
        return False
    same_front = _same(heard, adu)
    same_back = _same(heard[same_front:][::-1], adu[same_front:][::-1])
    return same_front + same_back >= max(len(heard), len(adu)) - 1


def _same(one: bytes, other: bytes) -> int:
    """Return how many bytes are the same from the front."""
    count = 0
    for first, second in zip(one, other, strict=False):
        if first != second:
            break
        count += 1
    return count

"""Pieces of the decoder told apart: where each byte went, joined and sorted for comparison."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.listening.heard_exchange import (
    HeardBroadcast,
    HeardExchange,
    HeardFrame,
    HeardPiece,
    UnansweredRequest,
    UnaskedReply,
)
from buswalk.domain.modbus.frame_splitter import Skipped


def frames_in(pieces: Iterable[HeardPiece]) -> list[HeardFrame]:
    """Return all whole frames, by offset."""
    frames: list[HeardFrame] = []
    for piece in pieces:
        match piece:
            case HeardExchange(request, reply, _):
                frames += [request, reply]
            case UnansweredRequest(frame) | HeardBroadcast(frame) | UnaskedReply(frame):
                frames.append(frame)
            case Skipped():
                pass
    return sorted(frames, key=lambda one: one.offset)


def placed_bytes(pieces: Iterable[HeardPiece]) -> list[tuple[int, bytes]]:
    """Return all bytes with their offsets, in order: frames and what was skipped."""
    kept = list(pieces)
    placed = [(one.offset, one.adu) for one in frames_in(kept)]
    placed += [(one.offset, one.data) for one in kept if isinstance(one, Skipped)]
    return sorted(placed)


def told(pieces: Iterable[HeardPiece]) -> list[str]:
    """Return what was decided, in the order of offsets; skipped bytes joined."""
    rows: list[tuple[int, str]] = []
    skipped: dict[int, bytes] = {}
    for piece in pieces:
        match piece:
            case HeardExchange(request, reply, fit):
                rows.append((request.offset, f"{request.adu.hex()} > {reply.adu.hex()} {fit.value}"))
            case UnansweredRequest(request):
                rows.append((request.offset, f"{request.adu.hex()} >"))
            case HeardBroadcast(request):
                rows.append((request.offset, f"{request.adu.hex()} to all"))
            case UnaskedReply(reply):
                rows.append((reply.offset, f"> {reply.adu.hex()}"))
            case Skipped(offset, data):
                skipped[offset] = data
    return [row for _, row in sorted(rows + _joined(skipped))]


def _joined(skipped: dict[int, bytes]) -> list[tuple[int, str]]:
    joined: list[tuple[int, bytes]] = []
    for offset, data in sorted(skipped.items()):
        if joined and joined[-1][0] + len(joined[-1][1]) == offset:
            joined[-1] = (joined[-1][0], joined[-1][1] + data)
        else:
            joined.append((offset, data))
    return [(offset, f"skipped {data.hex()}") for offset, data in joined]

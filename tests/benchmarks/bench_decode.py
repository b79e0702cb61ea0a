"""What the decoder finds in a recorded hall, clean and damaged, in random bytes, and how fast it is.

The hall is run in virtual time with its other client and heard through an adapter that hands over each byte; the truth
comes from the client's schedule. `frames_found_share` is of the frames that stayed whole: one with a changed, lost or
added byte inside cannot be found. The figures `_untimed` are from the same bytes without their times: then a request of
four bytes that nobody answers is believed only where it is all that lies between two frames; what is missing there has
a hurt neighbour. pymodbus' framer is no stream decoder: it is given each frame cut out beforehand, requests to its
server side and replies to its client side.
"""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from pymodbus.framer import FramerRTU
from pymodbus.pdu import DecodePDU

from buswalk.domain.listening.decoder import BYTES_A_CUT, Decoder, decode, decode_untimed
from buswalk.domain.listening.frame_stream import FrameStream
from buswalk.domain.listening.grammar import false_frames_a_byte
from buswalk.domain.listening.heard_bytes import Pace
from buswalk.domain.listening.heard_exchange import HeardPiece
from buswalk.domain.listening.who_asks import WhoAsks
from tests.benchmarks.figure import Figure
from tests.fakes.heard_pieces import frames_in
from tests.fakes.recorded_hall import SETTINGS, Recording, damaged, judged, recorded_hall, repeated

ROUNDS = 120
CHANGED = LOST_OR_ADDED = 1e-3
SEEDS = (1, 2, 3, 4, 5)
RANDOM_BYTES = 1_000_000_000
RANDOM_SEED = 8
TIMES_REPEATED = 30
RUNS = 3
PEER = "pymodbus framer"


def figures() -> Iterator[Figure]:
    """Yield shares found and paired, false frames beside the bound, and megabytes a second."""
    hall = recorded_hall(ROUNDS)
    yield from _clean(hall)
    hurt = [damaged(hall, CHANGED, LOST_OR_ADDED, seed) for seed in SEEDS]
    yield from _shares("", hurt, lambda one: decode(one.arrivals, SETTINGS))
    yield from _shares("_untimed", hurt, lambda one: decode_untimed(one.data))
    yield from _speeds(repeated(hall, TIMES_REPEATED))
    false_frames = _false_frames()
    yield Figure("decode", "false_frames_of_random_bytes", false_frames, "")
    bound = false_frames_a_byte() * RANDOM_BYTES
    yield Figure("decode", "false_frames_over_bound", false_frames / bound, "x")


def _clean(hall: Recording) -> Iterator[Figure]:
    seen = judged(hall, decode(hall.arrivals, SETTINGS))
    yield Figure("decode", "frames_recorded", len(hall.frames), "")
    yield Figure("decode", "frames_found_share_clean", seen.found_share, "")
    yield Figure("decode", "role_and_partner_share_clean", seen.right_share, "")
    yield Figure("decode", "frames_invented_clean", seen.invented, "")


def _shares(
    suffix: str, hurt: Sequence[Recording], decoded: Callable[[Recording], list[HeardPiece]]
) -> Iterator[Figure]:
    seen = [judged(one, decoded(one)) for one in hurt]
    whole, found = sum(one.whole for one in seen), sum(one.found for one in seen)
    yield Figure("decode", f"frames_found_share{suffix}", found / whole, "")
    yield Figure("decode", f"role_and_partner_share{suffix}", sum(one.right for one in seen) / found, "")
    yield Figure("decode", f"frames_invented{suffix}", sum(one.invented for one in seen), "")


def _false_frames() -> int:
    """Return how many frames the whole decoder sees in random bytes."""
    random = np.random.default_rng(RANDOM_SEED)
    decoder, found = Decoder(Pace.not_told()), 0
    for _ in range(RANDOM_BYTES // BYTES_A_CUT):
        found += len(frames_in(decoder.take_untimed(random.bytes(BYTES_A_CUT))))
    found += len(frames_in(decoder.take_untimed(random.bytes(RANDOM_BYTES % BYTES_A_CUT))))
    return found + len(frames_in(decoder.finish()))


def _speeds(hall: Recording) -> Iterator[Figure]:
    megabytes = len(hall.data) / 1e6
    data = hall.data
    took_s = _best(
        lambda: _split(data), lambda: _decoded(hall), lambda: _framed(hall), lambda: _framed_and_decoded(hall)
    )
    split, decoded, framed, framed_and_decoded = (megabytes / one for one in took_s)
    yield Figure("decode", "split_mb_per_s", split, "MB/s", PEER, framed, more_is_better=True)
    yield Figure("decode", "decode_mb_per_s", decoded, "MB/s", PEER, framed_and_decoded, more_is_better=True)


def _best(*actions: Callable[[], object]) -> list[float]:
    """Return the shortest time of each; they take turns, so that a busy moment of the machine meets all."""
    took_s = [float("inf")] * len(actions)
    for _ in range(RUNS):
        for place, action in enumerate(actions):
            began_s = time.perf_counter()
            action()
            took_s[place] = min(took_s[place], time.perf_counter() - began_s)
    return took_s


def _split(data: bytes) -> int:
    """Frames with their bytes, places and possible roles, from bytes alone."""
    stream, count = FrameStream(Pace.not_told()), 0
    for at in range(0, len(data), BYTES_A_CUT):
        stream.heard.add_untimed(data[at : at + BYTES_A_CUT])
        cut = stream.cut()
        count += len(stream.heard.many(cut.begins, cut.ends))
        stream.drop(cut)
    return count


def _decoded(hall: Recording) -> int:
    """Arrivals to exchanges with turnarounds, to who asks whom how often."""
    who = WhoAsks()
    who.take(decode(hall.arrivals, SETTINGS))
    return len(who.requests)


@dataclass(frozen=True, slots=True)
class _Framers:
    requests: FramerRTU
    replies: FramerRTU


def _framers() -> _Framers:
    return _Framers(FramerRTU(DecodePDU(is_server=True)), FramerRTU(DecodePDU(is_server=False)))


def _framed(hall: Recording) -> None:
    framers = _framers()
    for one in hall.frames:
        (framers.requests if one.is_request else framers.replies).decode(one.adu)


def _framed_and_decoded(hall: Recording) -> None:
    framers = _framers()
    for one in hall.frames:
        (framers.requests if one.is_request else framers.replies).handleFrame(one.adu, 0, 0)

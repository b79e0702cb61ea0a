"""Traffic of the simulated hall on one bus, recorded in virtual time, the truth about each frame, and damage to it.

The truth comes from the other client's schedule: what it asked when is known, and what came before its next request is
the reply. No decoder takes part in it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.heard_exchange import (
    HeardBroadcast,
    HeardExchange,
    HeardPiece,
    UnansweredRequest,
    UnaskedReply,
)
from buswalk.domain.modbus.frame_splitter import Skipped
from simulated_line.reference_codec.check_sum import closed
from simulated_line.scenario.model import ClientTable
from simulated_line.scenario.reading import load_scenario, named_scenario
from simulated_line.site import build_site
from simulated_line.timeline import Timeline

SETTINGS = SerialSettings.of(9600, "8N1")
SPACING_S = 0.4
FAN_COILS = range(2, 10)
METERS = range(40, 46)
ROUND: tuple[str, ...] = (
    "01 01 00 00 00 08",
    "01 04 00 00 00 0A",
    "01 03 00 00 00 03",
    "01 2B 0E 01 00",
    *(f"{address:02X} 03 00 00 00 02" for address in FAN_COILS),
    "02 06 00 01 00 D2",
    "03 06 00 01 00 D2",
    "14 03 00 00 00 02",
    "14 04 00 00 00 02",
    "14 11",
    "14 06 00 00 01 F4",
    "15 04 00 00 00 02",
    "15 10 00 00 00 01 02 01 F4",
    "15 11",
    "1E 03 00 00 00 04",
    "1F 04 00 00 00 01",
    "1F 03 00 00 00 02",
    "00 06 00 63 00 01",
    "1F 07",
    *(f"{address:02X} 03 00 00 00 04" for address in METERS),
    "3C 03 9C 40 00 06",
    "3C 03 9C 86 00 04",
    "63 03 00 00 00 02",
    "63 11",
    "05 03 02 58 00 02",
)
"""All who live in the hall, coils to identification, the same writes each round, one to all, one that nobody has, a
function that is refused, one that nobody answers in four bytes, and registers that do not exist."""


@dataclass(frozen=True, slots=True)
class TrueFrame:
    """A frame that was sent; `partner` is the place of its partner in the list of frames, -1 without one."""

    offset: int
    adu: bytes
    is_request: bool
    partner: int


@dataclass(frozen=True, slots=True)
class Recording:
    """What arrived, and what was sent."""

    arrivals: tuple[Arrival, ...]
    frames: tuple[TrueFrame, ...]

    @property
    def data(self) -> bytes:
        """All bytes."""
        return b"".join(one.data for one in self.arrivals)


def recorded_hall(rounds: int, latency_s: float = 0.001) -> Recording:
    """Listen to so many rounds of the client through an adapter that hands over what it has in such steps."""
    bodies = [bytes.fromhex(text) for text in ROUND]
    period_s = SPACING_S * (len(bodies) + 1)
    scenario = load_scenario(named_scenario("hall"))
    devices = [one.model_copy(update={"settings": SETTINGS}) for one in scenario.device]
    client = ClientTable(
        name="building control", settings=SETTINGS, requests=list(ROUND), period_s=period_s, spacing_s=SPACING_S
    )
    adapter = scenario.adapter.model_copy(update={"latency_step_s": latency_s})
    site = build_site(
        scenario.model_copy(update={"device": devices, "client": [client], "adapter": adapter}), Timeline()
    )
    line = site.open_line("hall", SETTINGS, keep_pace=lambda: None)
    frames: list[TrueFrame] = []
    arrivals: list[Arrival] = []
    offset = 0
    for number in range(rounds * len(bodies)):
        turn, place = divmod(number, len(bodies))
        until_s = turn * period_s + SPACING_S * (place + 2) - SPACING_S / 100
        came = []
        while (arrival := line.read(until_s)) is not None:
            came.append(arrival)
        arrivals += came
        data = b"".join(one.data for one in came)
        frames += _frames_of(data, closed(bodies[place]), offset, len(frames))
        offset += len(data)
    return Recording(tuple(arrivals), tuple(frames))


def _frames_of(data: bytes, request: bytes, offset: int, place: int) -> list[TrueFrame]:
    reply = data[len(request) :]
    if not data.startswith(request) or (reply and closed(reply[:-2]) != reply):
        raise RuntimeError(f"{request.hex()} was asked, and {data.hex()} was recorded")
    if not reply:
        return [TrueFrame(offset, request, is_request=True, partner=-1)]
    return [
        TrueFrame(offset, request, is_request=True, partner=place + 1),
        TrueFrame(offset + len(request), reply, is_request=False, partner=place),
    ]


def repeated(recording: Recording, times: int) -> Recording:
    """Return the recording so many times, one after the other."""
    length_s = recording.arrivals[-1].not_after_s + 1.0
    arrivals = tuple(
        replace(one, not_before_s=one.not_before_s + turn * length_s, not_after_s=one.not_after_s + turn * length_s)
        for turn in range(times)
        for one in recording.arrivals
    )
    size, count = len(recording.data), len(recording.frames)
    frames = tuple(
        replace(one, offset=one.offset + turn * size, partner=one.partner + turn * count if one.partner >= 0 else -1)
        for turn in range(times)
        for one in recording.frames
    )
    return Recording(arrivals, frames)


def damaged(recording: Recording, changed: float, lost_or_added: float, seed: int) -> Recording:
    """Return it with bytes changed, lost or added at these rates; only frames that stayed whole are in its truth."""
    random = np.random.default_rng(seed)
    data = np.frombuffer(recording.data, dtype=np.uint8)
    draws = random.random((3, len(data)))
    is_changed = draws[0] < changed
    is_lost = draws[1] < lost_or_added / 2
    is_added = draws[2] < lost_or_added / 2
    values = np.where(is_changed, data ^ random.integers(1, 256, len(data), dtype=np.uint8), data)
    added = random.integers(0, 256, len(data), dtype=np.uint8)
    sizes = 1 - is_lost.astype(np.intp) + is_added
    new_offset = np.concatenate(([0], np.cumsum(sizes)))
    return Recording(
        tuple(_with_damage(recording.arrivals, values, is_lost, is_added, added)),
        _still_whole(recording.frames, is_changed | is_lost, is_added, new_offset),
    )


def _with_damage(
    arrivals: Iterable[Arrival],
    values: np.ndarray[tuple[int], np.dtype[np.uint8]],
    is_lost: np.ndarray[tuple[int], np.dtype[np.bool_]],
    is_added: np.ndarray[tuple[int], np.dtype[np.bool_]],
    added: np.ndarray[tuple[int], np.dtype[np.uint8]],
) -> Iterable[Arrival]:
    """A byte is added in front of the one at its place."""
    at = 0
    for arrival in arrivals:
        end = at + len(arrival.data)
        kept = bytearray()
        for place in range(at, end):
            if is_added[place]:
                kept.append(int(added[place]))
            if not is_lost[place]:
                kept.append(int(values[place]))
        if kept:
            yield replace(arrival, data=bytes(kept), marks=())
        at = end


def _still_whole(
    frames: tuple[TrueFrame, ...],
    is_hurt: np.ndarray[tuple[int], np.dtype[np.bool_]],
    is_added: np.ndarray[tuple[int], np.dtype[np.bool_]],
    new_offset: np.ndarray[tuple[int], np.dtype[np.intp]],
) -> tuple[TrueFrame, ...]:
    """A byte added in front of the first does not hurt a frame; it only moves it."""
    whole = [
        not is_hurt[one.offset : one.offset + len(one.adu)].any()
        and not is_added[one.offset + 1 : one.offset + len(one.adu)].any()
        for one in frames
    ]
    new_place = np.cumsum(whole) - 1
    return tuple(
        replace(
            one,
            offset=int(new_offset[one.offset]) + int(is_added[one.offset]),
            partner=int(new_place[one.partner]) if one.partner >= 0 and whole[one.partner] else -1,
        )
        for one, is_whole in zip(frames, whole, strict=True)
        if is_whole
    )


@dataclass(frozen=True, slots=True)
class Judgement:
    """How what was decoded compares with the truth.

    Attributes:
        whole: Frames that stayed whole.
        found: Of these, at their place.
        right: Of the found, with the right role and the right partner, or rightly none.
        invented: Frames decoded that nobody sent whole.
    """

    whole: int
    found: int
    right: int
    invented: int

    @property
    def found_share(self) -> float:
        """Of those that stayed whole."""
        return self.found / self.whole

    @property
    def right_share(self) -> float:
        """Of those found."""
        return self.right / self.found


def judged(recording: Recording, pieces: Iterable[HeardPiece]) -> Judgement:
    """Compare."""
    said: dict[int, tuple[bytes, bool, int]] = {}
    for piece in pieces:
        match piece:
            case HeardExchange(request, reply, _):
                said[request.offset] = (request.adu, True, reply.offset)
                said[reply.offset] = (reply.adu, False, request.offset)
            case UnansweredRequest(request) | HeardBroadcast(request):
                said[request.offset] = (request.adu, True, -1)
            case UnaskedReply(reply):
                said[reply.offset] = (reply.adu, False, -1)
            case Skipped():
                pass
    found = right = 0
    for one in recording.frames:
        partner = recording.frames[one.partner].offset if one.partner >= 0 else -1
        seen = said.pop(one.offset, None)
        found += seen is not None and seen[0] == one.adu
        right += seen == (one.adu, one.is_request, partner)
    return Judgement(len(recording.frames), found, right, len(said))

"""Noise as pulses that flip the pair, drawn as gaps in line time: whoever asks, and whenever, meets the same luck.

Each source has a random stream of its own, keyed by the seed and its name.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from random import Random
from typing import Protocol

from simulated_line.pair.line_habits import NoiseBursts

KEPT_BEHIND_S = 5.0
"""How far back pulses are kept: no receiver looks further back than its last unfinished frame."""


@dataclass(frozen=True, slots=True)
class Pulse:
    """The pair is flipped from one moment to another; `strength` (0 to 1) decides whom it reaches."""

    begin_s: float
    end_s: float
    strength: float


class PulseSource(Protocol):
    """A stream of pulses in order of time."""

    def pulses(self, from_s: float, until_s: float) -> list[Pulse]:
        """Return those that begin in [from_s, until_s); asked in about ascending order."""


class DrawnPulses:
    """Keeps what an endless iterator of pulses has given, as far as needed."""

    def __init__(self, stream: Iterator[Pulse]) -> None:
        self._stream = stream
        self._kept: list[Pulse] = []
        self._next = next(stream)

    def pulses(self, from_s: float, until_s: float) -> list[Pulse]:
        """Return those that begin in [from_s, until_s)."""
        if self._next.begin_s >= until_s and not self._kept:
            return []
        while self._next.begin_s < until_s:
            self._kept.append(self._next)
            self._next = next(self._stream)
        oldest_s = from_s - KEPT_BEHIND_S
        if self._kept and self._kept[0].begin_s < oldest_s:
            del self._kept[: bisect_left(self._kept, oldest_s, key=lambda pulse: pulse.begin_s)]
        first = bisect_left(self._kept, from_s, key=lambda pulse: pulse.begin_s)
        last = bisect_left(self._kept, until_s, key=lambda pulse: pulse.begin_s)
        return self._kept[first:last]


def even_noise(seed: int, name: str, per_second: float, pulse_s: float) -> DrawnPulses:
    """Return noise that comes at random at a mean rate, each pulse as long as a bit."""
    return DrawnPulses(_even(Random(f"{seed}:{name}"), per_second, pulse_s))


def _even(draw: Random, per_second: float, pulse_s: float) -> Iterator[Pulse]:
    at_s = 0.0
    while True:
        at_s += draw.expovariate(per_second)
        yield Pulse(at_s, at_s + pulse_s, draw.random())


def noise_bursts(seed: int, name: str, bursts: NoiseBursts, pulse_s: float) -> DrawnPulses:
    """Return bursts of noise; inside one each bit is flipped with even chance, and all pulses are equally strong."""
    return DrawnPulses(_bursts(Random(f"{seed}:{name}"), Random(f"{seed}:{name}:strength"), bursts, pulse_s))


def _bursts(draw: Random, draw_strength: Random, bursts: NoiseBursts, pulse_s: float) -> Iterator[Pulse]:
    begin_s = 0.0
    while True:
        begin_s += bursts.period_s if bursts.period_s else draw.expovariate(bursts.per_second)
        at_s = begin_s + draw.uniform(0.0, pulse_s)
        end_s = begin_s + draw.uniform(bursts.shortest_s, bursts.longest_s)
        strength = draw_strength.random()
        while at_s < end_s:
            if draw.random() < 0.5:
                yield Pulse(at_s, at_s + pulse_s, strength)
            at_s += pulse_s
        begin_s = max(begin_s, at_s if not bursts.period_s else begin_s)

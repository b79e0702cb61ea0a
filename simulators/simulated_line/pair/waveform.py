"""The level of the pair over time, as the moments at which it toggles. 1 is mark (idle), 0 is space."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass
from functools import lru_cache

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from simulated_line.station import Pause

CACHED_BURSTS = 4096


@dataclass(frozen=True, slots=True)
class Waveform:
    """A level before the first toggle, and the times at which it changes, ascending."""

    initial: int
    toggles: tuple[float, ...]

    def level_at(self, time_s: float) -> int:
        """Level at a moment; a toggle at that very moment counts as done."""
        return self.initial ^ (bisect_right(self.toggles, time_s) & 1)


MARK = Waveform(1, ())


@lru_cache(maxsize=CACHED_BURSTS)
def burst_toggles(data: bytes, settings: SerialSettings, pauses: tuple[Pause, ...]) -> tuple[float, ...]:
    """Return when a burst toggles the pair, counted from its first start bit; it begins and ends at mark."""
    toggles: list[float] = []
    level = 1
    at = 0.0
    starts = character_starts(len(data), settings, pauses)
    for byte, at in zip(data, starts, strict=True):
        for index, bit in enumerate(character_bits(byte, settings)):
            if bit != level:
                toggles.append(at + index * settings.bit_s)
                level = bit
    return tuple(toggles)


@lru_cache(maxsize=CACHED_BURSTS)
def character_starts(byte_count: int, settings: SerialSettings, pauses: tuple[Pause, ...]) -> tuple[float, ...]:
    """Return when each character of a burst begins, counted from the first."""
    starts: list[float] = []
    at = 0.0
    waits = {pause.after_byte: pause.duration_s for pause in pauses}
    for index in range(byte_count):
        if index:
            at += settings.character_s + waits.get(index, 0.0)
        starts.append(at)
    return tuple(starts)


def burst_duration_s(byte_count: int, settings: SerialSettings, pauses: tuple[Pause, ...]) -> float:
    """Return first start bit to end of last stop bit."""
    return character_starts(byte_count, settings, pauses)[-1] + settings.character_s


@lru_cache(maxsize=4096)
def character_bits(byte: int, settings: SerialSettings) -> tuple[int, ...]:
    """Return the bits of one character in order of sending: start, data low bit first, parity, first stop.

    Even parity makes the number of ones even (Serial Line V1.02, 2.5.1: 1100 0101 has even parity bit 0).
    """
    bits = [0] + [byte >> index & 1 for index in range(settings.data_bits)]
    if settings.parity is not Parity.NONE:
        ones = sum(bits)
        bits.append(ones & 1 if settings.parity is Parity.EVEN else 1 - (ones & 1))
    bits.append(1)
    return tuple(bits)


def combined_toggles(parts: Iterable[Iterable[float]]) -> tuple[float, ...]:
    """Return the toggles of several sources XORed together: two at the same moment cancel."""
    merged = sorted(time_s for part in parts for time_s in part)
    kept: list[float] = []
    for time_s in merged:
        if kept and kept[-1] == time_s:
            kept.pop()
        else:
            kept.append(time_s)
    return tuple(kept)


def masked(waveform: Waveform, windows: tuple[tuple[float, float], ...]) -> Waveform:
    """Return the waveform with mark in its place during windows: a receiver that is switched off reads mark."""
    moments = sorted({*waveform.toggles, *(edge for window in windows for edge in window)})
    toggles: list[float] = []
    level = waveform.initial
    for time_s in moments:
        is_off = any(from_s <= time_s < until_s for from_s, until_s in windows)
        seen = 1 if is_off else waveform.level_at(time_s)
        if seen != level:
            toggles.append(time_s)
            level = seen
    return Waveform(waveform.initial, tuple(toggles))

"""Devices of shipped profiles whose points wander, and a display that shows one of them: trials of a value finder.

Between two looks every point moves; the display rounds, and was read a moment before the registers.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal

from buswalk.domain.registers.conversion import NotRepresentable, value_of, words_for
from buswalk.domain.registers.point import Access, Between, Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value import NumberValue
from buswalk.domain.registers.value_finder.finding import Look, TableWords
from buswalk.domain.registers.value_finder.readings import SEARCHED
from buswalk.domain.registers.value_finder.shown import Shown
from buswalk.shipped_files import profile_folder
from buswalk.storage.profile_files import read_profile

LOOKS = 3
USUAL_RANGE = (5.0, 900.0)
STANDS_STILL = 0.3
"""So many of the registers that no point describes hold the same at every look."""


@dataclass(frozen=True, slots=True)
class ShownPoint:
    """One trial: what was shown and read at each look, and what it truly was."""

    profile: str
    point: Point
    looks: tuple[Look, ...]


def shipped_profiles() -> tuple[RegisterProfile, ...]:
    """Return all profiles that the program carries."""
    return tuple(read_profile(path) for path in sorted(profile_folder().glob("*.toml")))


def shown_points(profile: RegisterProfile, seed: int) -> Iterator[ShownPoint]:
    """Yield a trial for each point of a profile that a display would show as a number."""
    for point in profile.points:
        if point.access is Access.WRITE or point.named or point.bit_fields or point.value_type.layout not in SEARCHED:
            continue
        rng = random.Random(f"{seed} {profile.name} {point.name}")
        yield ShownPoint(profile.name, point, tuple(_looks(profile, point, rng)))


def _looks(profile: RegisterProfile, shown: Point, rng: random.Random) -> Iterator[Look]:
    held: dict[tuple[Table, int], int] = {}
    for _ in range(LOOKS):
        for point in profile.points:
            if point.value_type.layout in SEARCHED and not point.table.holds_bits:
                _put(held, point, _drawn_words(point, rng))
        words = [held[shown.table, shown.register_address + place] for place in range(shown.value_type.words)]
        value = value_of(shown, words)
        assert isinstance(value, NumberValue), "drawn values are numbers"
        yield Look(_display(shown, value.value, rng), tuple(_read(held, rng)))


def _put(held: dict[tuple[Table, int], int], point: Point, words: tuple[int, ...]) -> None:
    for place, word in enumerate(words):
        held[point.table, point.register_address + place] = word


def _drawn_words(point: Point, rng: random.Random) -> tuple[int, ...]:
    low, high = USUAL_RANGE
    if isinstance(point.range, Between):
        low, high = float(point.range.low), float(point.range.high)
    for _ in range(100):
        raw = Decimal(str(round(rng.uniform(low, high), 6)))
        steps = ((raw - point.offset) / point.scale).to_integral_value()
        value = steps * point.scale + point.offset if point.value_type.layout.value != "float" else raw
        try:
            words = words_for(point, value)
        except NotRepresentable:
            continue
        if isinstance(value_of(point, words), NumberValue):
            return words
    return (0,) * point.value_type.words


def _display(point: Point, value: Decimal, rng: random.Random) -> Shown:
    """A display with the digits of the point, read up to half a step before or after."""
    step = Decimal(1).scaleb(-point.decimals)
    moved = value + step * Decimal(str(round(rng.uniform(-0.5, 0.5), 3)))
    return Shown(moved.quantize(step), step)


def _read(held: dict[tuple[Table, int], int], rng: random.Random) -> Iterator[TableWords]:
    """What a read of each table brings: points, and between them registers that stand still or count."""
    for table in {table for table, _ in held}:
        addresses = [address for one, address in held if one is table]
        first, last = max(0, min(addresses) - 4), min(max(addresses) + 5, min(addresses) + 2000)
        words = []
        for address in range(first, last):
            still = random.Random(address * 4 + table.read_function)
            idle = still.randrange(0x10000) if still.random() < STANDS_STILL else still.choice((0, 0, 0, 1, 0xFFFF))
            words.append(held.get((table, address), idle))
        yield TableWords(table, first, tuple(words))

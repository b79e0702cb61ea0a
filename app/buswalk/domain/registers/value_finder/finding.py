"""Every meaning that fits what was shown, look after look.

A look is what the display showed and what all tables held at about that time. The first look goes through all
positions, types, orders and scalings; each further one leaves those that fit again. A value that has changed between
two looks tells most.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from decimal import Decimal

import numpy as np

from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_finder.meaning import Candidate, Meaning, Scaling
from buswalk.domain.registers.value_finder.readings import raw_numbers, searched_types
from buswalk.domain.registers.value_finder.shown import Shown
from buswalk.domain.registers.value_type import Layout, ValueType

SCALES = tuple(
    Decimal(one) for one in ("1", "0.1", "0.01", "0.001", "10", "100", "0.0001", "1000", "0.5", "0.2", "0.05")
)
FLOAT_SCALES = tuple(Decimal(one) for one in ("1", "0.001", "1000", "0.1", "0.01", "10", "100"))
OFFSETS = tuple(Decimal(one) for one in ("-40", "-50", "-100", "-273.15"))
"""Offsets by which makers keep temperatures above zero (common practice, no source), and kelvin."""
OFFSET_SCALES = tuple(Decimal(one) for one in ("1", "0.1", "0.01", "0.5"))
COARSEST_STEPS = 10
"""A register may be so much coarser than the display: whole degrees where tenths are shown (judgement, no source)."""


@dataclass(frozen=True, slots=True)
class TableWords:
    """Neighbouring registers of one table as they were read."""

    table: Table
    first: int
    words: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Look:
    """What was shown, and what the registers held then."""

    shown: Shown
    read: tuple[TableWords, ...]


class ValueFinder:
    """Takes looks; `candidates` are those meanings that fit all of them."""

    def __init__(self) -> None:
        self._looks: list[Look] = []
        self._fits: dict[Meaning, tuple[float, ...]] = {}

    @property
    def looks(self) -> int:
        """How many looks there were."""
        return len(self._looks)

    def take(self, look: Look) -> None:
        """Take a look: the first one finds, each further one leaves what fits again."""
        found = _fitting(look, set(self._fits) if self._looks else None)
        self._fits = {one: (*self._fits.get(one, ()), number) for one, number in found}
        self._looks.append(look)

    @property
    def candidates(self) -> tuple[Candidate, ...]:
        """Return what fits, what comes to the same joined, the closest and simplest first."""
        groups: dict[tuple[object, ...], list[Meaning]] = defaultdict(list)
        for meaning, numbers in self._fits.items():
            groups[meaning.table, _value_word(meaning), numbers].append(meaning)
        joined = [self._candidate(group) for group in groups.values()]
        return tuple(sorted(joined, key=lambda one: (_scaling_rank(one.meanings[0]), one.worst_steps)))

    def _candidate(self, group: list[Meaning]) -> Candidate:
        group.sort(key=_simplicity)
        numbers = self._fits[group[0]]
        steps = (
            abs(number - float(look.shown.value)) / float(look.shown.step)
            for number, look in zip(numbers, self._looks, strict=True)
        )
        return Candidate(tuple(group), numbers, max(steps))


def _fitting(look: Look, among: set[Meaning] | None) -> Iterator[tuple[Meaning, float]]:
    """Yield each meaning that fits this look with its number; only those of `among`, if it is given."""
    wanted_types = searched_types() if among is None else tuple(dict.fromkeys(one.value_type for one in among))
    for read in look.read:
        if read.table.holds_bits:
            continue
        for value_type in wanted_types:
            yield from _fitting_type(look.shown, read, value_type, among)


def _fitting_type(
    shown: Shown, read: TableWords, value_type: ValueType, among: set[Meaning] | None
) -> Iterator[tuple[Meaning, float]]:
    raw = raw_numbers(np.array(read.words, dtype=np.uint16), value_type)
    for scaling in _scalings(value_type):
        with np.errstate(invalid="ignore", over="ignore"):
            numbers = raw * float(scaling.scale) + float(scaling.offset)
            fits = np.abs(numbers - float(shown.value)) <= _near(shown, value_type, scaling)
        for place in np.flatnonzero(fits):
            meaning = Meaning(read.table, read.first + int(place), value_type, scaling)
            if among is None or meaning in among:
                yield meaning, round(float(numbers[place]), 9)


def _near(shown: Shown, value_type: ValueType, scaling: Scaling) -> float:
    """Return how far a number may lie from the shown one; a register that is coarser than the display rounds too."""
    is_coarser = value_type.layout is not Layout.FLOAT and shown.step < scaling.scale <= COARSEST_STEPS * shown.step
    near = shown.tolerance + (scaling.scale / 2 if is_coarser else 0)
    return float(near) * (1 + 1e-9)


def _scalings(value_type: ValueType) -> Iterable[Scaling]:
    if value_type.layout is Layout.FLOAT:
        return [Scaling(one) for one in FLOAT_SCALES]
    plain = [Scaling(one) for one in SCALES]
    if value_type.bits > 16:
        return plain
    return plain + [Scaling(scale, offset) for scale in OFFSET_SCALES for offset in OFFSETS]


def _value_word(meaning: Meaning) -> int:
    """Return the register that holds the lowest bits: a longer type whose other words are empty comes to the same."""
    from_end = meaning.value_type.word_order.value.startswith("high")
    return meaning.last_register_address if from_end else meaning.register_address


def _simplicity(meaning: Meaning) -> tuple[int, int, float]:
    return meaning.value_type.bits, searched_types().index(meaning.value_type), _scaling_rank(meaning)[1]


def _scaling_rank(meaning: Meaning) -> tuple[int, float]:
    scales: Sequence[Decimal] = FLOAT_SCALES if meaning.value_type.layout is Layout.FLOAT else SCALES
    return int(bool(meaning.scaling.offset)), scales.index(meaning.scaling.scale)

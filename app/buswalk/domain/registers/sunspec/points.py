"""The points of a model that a device has, with the powers of ten that it holds itself."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from buswalk.domain.registers.point import Access, BitField, NamedValue, Point
from buswalk.domain.registers.sunspec.chain import LocatedModel
from buswalk.domain.registers.sunspec.definition import ModelDefinition, ModelGroup, ModelPoint
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import LONGEST_TEXT_WORDS, Layout, ValueType

LARGEST_POWER = 10
MOST_REPEATS = 500
_LAYOUTS: dict[str, tuple[Layout, int]] = {
    "int16": (Layout.SIGNED, 16),
    "int32": (Layout.SIGNED, 32),
    "int64": (Layout.SIGNED, 64),
    "sunssf": (Layout.SIGNED, 16),
    "uint16": (Layout.UNSIGNED, 16),
    "count": (Layout.UNSIGNED, 16),
    "acc16": (Layout.UNSIGNED, 16),
    "enum16": (Layout.UNSIGNED, 16),
    "bitfield16": (Layout.UNSIGNED, 16),
    "uint32": (Layout.UNSIGNED, 32),
    "acc32": (Layout.UNSIGNED, 32),
    "enum32": (Layout.UNSIGNED, 32),
    "bitfield32": (Layout.UNSIGNED, 32),
    "ipaddr": (Layout.UNSIGNED, 32),
    "uint64": (Layout.UNSIGNED, 64),
    "acc64": (Layout.UNSIGNED, 64),
    "eui48": (Layout.UNSIGNED, 64),
    "float32": (Layout.FLOAT, 32),
    "float64": (Layout.FLOAT, 64),
}
"""Without `pad`, which says nothing, `string`, whose length is its size, and `ipv6addr`, which is no plain number."""
_HIGHEST_BIT_ONLY = ("int16", "int32", "int64", "sunssf")
_ALL_BITS = ("uint16", "count", "enum16", "bitfield16", "uint32", "enum32", "bitfield32", "uint64")
_ZERO = ("acc16", "acc32", "acc64", "ipaddr")
"""Raw values that mean 'not implemented', by kind; floats have NaN, texts are empty."""
UNITS = {
    "C": "°C",
    "DegC": "°C",
    "Pct": "%",
    "pct": "%",
    "HPa": "hPa",
    "mps": "m/s",
    "deg": "°",
    "Deg": "°",
    "kO": "kΩ",
    "Ohms": "Ω",
    "W/m2": "W/m²",
    "Secs": "s",
    "Tms": "s",
}
"""Units as the model files spell them, and as people write them."""
POWER_UNKNOWN = "its power of ten is not implemented in the device: shown as it is sent"


@dataclass(frozen=True, slots=True)
class _Placed:
    """A point of the definition at its register, with the points beside it in its group, by which it is scaled."""

    point: ModelPoint
    first: int
    prefix: str


def points_of(definition: ModelDefinition, located: LocatedModel, words: Sequence[int]) -> tuple[Point, ...]:
    """Return the points that a device has of a model.

    Attributes:
        words: All registers of the model as they were read, number and length first.
    """
    placed = tuple(_placed(definition, located, words))
    powers = {f"{one.prefix}{one.point.name}": _power(one, located, words) for one in placed if _is_power(one.point)}
    named: dict[str, int] = {}
    return tuple(_point(one, powers, named) for one in placed if _has_value(one))


def _placed(definition: ModelDefinition, located: LocatedModel, words: Sequence[int]) -> Iterator[_Placed]:
    end = located.first + min(located.quantity, len(words))
    values = {one.name: words[at] for one, at in _own(definition.group, 0) if at < len(words)}
    first = located.first
    for one in definition.group.points:
        if first + one.size <= end:
            yield _Placed(one, first, "")
        first += one.size
    yield from _groups(definition.group.groups, first, end, values, "")


def _own(group: ModelGroup, at: int) -> Iterator[tuple[ModelPoint, int]]:
    for one in group.points:
        yield one, at
        at += one.size


def _groups(
    groups: Sequence[ModelGroup], first: int, end: int, values: Mapping[str, int], prefix: str
) -> Iterator[_Placed]:
    for group in groups:
        size = _size(group, values)
        for number in range(1, _repeats(group, size, end - first, values) + 1):
            if first + size > end:
                return
            inside = f"{prefix}{group.name}_{number}_"
            at = first
            for one in group.points:
                yield _Placed(one, at, inside)
                at += one.size
            yield from _groups(group.groups, at, first + size, values, inside)
            first += size


def _size(group: ModelGroup, values: Mapping[str, int]) -> int:
    return group.own_size + sum(_size(one, values) * _told(one.count, values) for one in group.groups)


def _repeats(group: ModelGroup, size: int, room: int, values: Mapping[str, int]) -> int:
    if size == 0:
        return 0
    told = room // size if group.count == "0" else _told(group.count, values)
    return min(told, MOST_REPEATS)


def _told(count: str, values: Mapping[str, int]) -> int:
    return int(count) if count.isdigit() else values.get(count, 0)


def _is_power(point: ModelPoint) -> bool:
    return point.kind == "sunssf"


def _power(placed: _Placed, located: LocatedModel, words: Sequence[int]) -> int | None:
    raw = words[placed.first - located.first]
    power = raw - 0x10000 if raw >= 0x8000 else raw
    return power if abs(power) <= LARGEST_POWER else None


def _has_value(placed: _Placed) -> bool:
    is_head = not placed.prefix and placed.point.name in ("ID", "L")
    kind = placed.point.kind
    is_text = kind == "string" and placed.point.size <= LONGEST_TEXT_WORDS
    return not is_head and kind != "sunssf" and (is_text or kind in _LAYOUTS)


def _point(placed: _Placed, powers: Mapping[str, int | None], named: dict[str, int]) -> Point:
    point = placed.point
    power = _power_of(placed, powers)
    is_bits = point.kind.startswith("bitfield")
    return Point(
        name=_unique(f"{placed.prefix}{point.name}", named),
        table=Table.HOLDING_REGISTERS,
        register_address=placed.first,
        value_type=_value_type(point),
        words=point.words,
        scale=Decimal(1).scaleb(power or 0),
        unit=UNITS.get(point.unit, point.unit),
        decimals=max(0, -(power or 0)),
        sentinels=_sentinels(point),
        named=() if is_bits else point.symbols,
        bit_fields=_bit_fields(point.symbols) if is_bits else (),
        access=Access.READ_WRITE if point.can_be_written else Access.READ,
        notes=POWER_UNKNOWN if power is None else "",
    )


def _power_of(placed: _Placed, powers: Mapping[str, int | None]) -> int | None:
    """Return the power of ten of a point: written, of its own group, or of the model; 0 where it has none."""
    scale = placed.point.scale
    if not scale:
        return 0
    if scale.lstrip("-").isdigit():
        return int(scale)
    prefix = placed.prefix
    while True:
        if prefix + scale in powers:
            return powers[prefix + scale]
        if not prefix:
            return None
        prefix = re.sub(r"[^_]+_\d+_$", "", prefix) if re.search(r"[^_]+_\d+_$", prefix) else ""


def _value_type(point: ModelPoint) -> ValueType:
    if point.kind == "string":
        return ValueType(Layout.TEXT, 16 * point.size)
    layout, bits = _LAYOUTS[point.kind]
    return ValueType(layout, bits)


def _sentinels(point: ModelPoint) -> tuple[int, ...]:
    if point.kind == "string" or point.kind.startswith("float"):
        return ()
    bits = _LAYOUTS[point.kind][1]
    if point.kind in _HIGHEST_BIT_ONLY:
        return (1 << (bits - 1),)
    if point.kind in _ALL_BITS:
        return ((1 << bits) - 1,)
    return (0,) if point.kind in _ZERO else ((1 << 48) - 1,)


def _bit_fields(symbols: tuple[NamedValue, ...]) -> tuple[BitField, ...]:
    return tuple(BitField(one.words, one.raw) for one in symbols)


def _unique(name: str, named: dict[str, int]) -> str:
    plain = re.sub(r"_+", "_", re.sub(r"[^a-z0-9]+", "_", name.casefold())).strip("_") or "point"
    plain = f"p_{plain}" if plain[0].isdigit() else plain
    named[plain] = named.get(plain, 0) + 1
    return plain if named[plain] == 1 else f"{plain}_{named[plain]}"

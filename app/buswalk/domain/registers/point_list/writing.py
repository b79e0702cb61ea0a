"""Points as rows of a list again, in a notation of choice, with headings that reading understands."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from decimal import Decimal

from buswalk.domain.registers.point import Access, Between, Point
from buswalk.domain.registers.point_list.address_cells import ListNotation
from buswalk.domain.registers.value_type import ByteOrder, Layout, WordOrder

HEADINGS = (
    *("name", "address", "table", "type", "order", "registers", "scale", "offset", "unit", "range", "access"),
    *("bit", "no value", "named values", "notes"),
)
LAST_OF_FIVE_DIGITS = 9999
_ACCESS = {Access.READ: "R", Access.READ_WRITE: "RW", Access.WRITE: "W"}


def rows_of_points(points: Sequence[Point], notation: ListNotation) -> Iterator[tuple[str, ...]]:
    """Yield the headings, then a row a point and one for each of its bits."""
    yield HEADINGS
    is_long = any(one.register_address >= LAST_OF_FIVE_DIGITS for one in points)
    for point in points:
        address = address_text(point, notation, is_long=is_long)
        if not point.bit_fields:
            yield _row(point, point.words or point.name, address, "")
        for field in point.bit_fields:
            named = "; ".join(f"{one.raw} = {one.words}" for one in field.named)
            row = list(_row(point, field.name, address, str(field.first_bit)))
            row[HEADINGS.index("named values")] = named
            yield tuple(row)


def address_text(point: Point, notation: ListNotation, *, is_long: bool) -> str:
    """Return the address of a point in a notation; reference numbers have six digits where five do not reach."""
    match notation:
        case ListNotation.AS_SENT:
            return str(point.register_address)
        case ListNotation.FROM_ONE:
            return str(point.register_address + 1)
        case ListNotation.REFERENCE:
            width = 5 if is_long else 4
            return f"{point.table.digit}{point.register_address + 1:0{width}d}"


def _row(point: Point, name: str, address: str, bit: str) -> tuple[str, ...]:
    kind = point.value_type
    limits = f"{point.range.low}..{point.range.high}" if isinstance(point.range, Between) else ""
    return (
        name,
        address,
        point.table.value.replace("_", " ").removesuffix("s"),
        kind.layout.value
        if kind.layout in (Layout.BIT, Layout.TEXT)
        else f"{kind.layout.value.replace('_', ' ')} {kind.bits}",
        _order(kind.word_order, kind.byte_order) if kind.words > 1 and kind.layout is not Layout.TEXT else "",
        str(kind.words),
        _plain(point.scale) if point.scale != 1 else "",
        _plain(point.offset) if point.offset else "",
        point.unit,
        limits,
        _ACCESS[point.access],
        bit,
        ", ".join(f"0x{one:04X}" for one in point.sentinels),
        "; ".join(f"{one.raw} = {one.words}" for one in point.named),
        point.notes,
    )


def _order(words: WordOrder, order: ByteOrder) -> str:
    if words is WordOrder.LOW_FIRST and order is ByteOrder.EXCHANGED:
        return "little endian"
    return order.value if order is ByteOrder.EXCHANGED else words.value


def _plain(value: Decimal) -> str:
    return f"{value:f}"

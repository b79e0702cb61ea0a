"""Which requests read the points that are wanted in the fewest seconds, and why some points are not read.

Fewest seconds, not fewest requests: a request costs its frames, the turnaround of the device and silences; a register
that nobody wants costs two characters. At 9600 baud and 5 ms of turnaround a hole of 15 registers is worth a request.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import Block, ReadRules, RegisterProfile
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.tables import Table


@dataclass(frozen=True, slots=True)
class AllPoints:
    """Every point that a read does not change."""


@dataclass(frozen=True, slots=True)
class NamedPoints:
    """These points, asked for by name: even those that are cleared by reading."""

    names: tuple[str, ...]


Wanted: TypeAlias = AllPoints | NamedPoints
ALL_POINTS = AllPoints()


@dataclass(frozen=True, slots=True)
class ReadBlock:
    """One request, and the points that its reply tells, in order of address."""

    block: Block
    points: tuple[Point, ...]


class WhyLeftOut(Enum):
    """Why a wanted point is not read."""

    CLEARS_ON_READ = "reading clears it: it is read only when asked for by name"
    WOULD_CLEAR_OTHERS = "reading it would clear another point, which nobody asked for"
    NOT_ALLOWED = "it lies outside of what the profile allows to be read"
    TOO_LONG = "it has more words than one request to this device may ask for"
    ONLY_WRITTEN = "the list says that it can only be written"


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A wanted point that is not read."""

    point: Point
    why: WhyLeftOut


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """Requests in order of table and address, each point in exactly one of them or left out.

    Attributes:
        seconds: What they cost one after the other.
    """

    blocks: tuple[ReadBlock, ...]
    left_out: tuple[LeftOut, ...]
    seconds: float


def read_plan(profile: RegisterProfile, wanted: Wanted, costs: ReadCosts) -> ReadPlan:
    """Return the quickest plan. Raises KeyError for a name that the profile does not have."""
    points = _wanted_points(profile, wanted)
    left_out = tuple(
        LeftOut(point, why) for point in points for why in _why_left_out(profile, point, isinstance(wanted, AllPoints))
    )
    gone = {one.point.name for one in left_out}
    by_table = ([one for one in points if one.table is table and one.name not in gone] for table in Table)
    blocks = [block for same_table in by_table for block in _blocks_of_table(profile, same_table, costs)]
    seconds = sum(costs.exchange_s(one.block.table, one.block.quantity) for one in blocks)
    return ReadPlan(tuple(blocks), left_out, seconds)


def allowed_spans(rules: ReadRules, table: Table) -> tuple[Block, ...]:
    """Return where a request may lie: blocks that adjoin are one, there is no hole between them."""
    if not rules.blocks:
        return (Block(table, 0, 0xFFFF),)
    spans: list[Block] = []
    for one in sorted((block for block in rules.blocks if block.table is table), key=lambda block: block.first):
        if spans and one.first <= spans[-1].last + 1:
            spans[-1] = Block(table, spans[-1].first, max(spans[-1].last, one.last))
        else:
            spans.append(one)
    return tuple(spans)


def largest_quantity(rules: ReadRules, table: Table) -> int:
    """Return the most that one request may ask for."""
    by_profile = rules.largest_bit_quantity if table.holds_bits else rules.largest_quantity
    return min(by_profile, table.largest_quantity)


# What cannot be read


def _wanted_points(profile: RegisterProfile, wanted: Wanted) -> tuple[Point, ...]:
    match wanted:
        case AllPoints():
            return profile.points
        case NamedPoints(names):
            return tuple(profile.point(name) for name in dict.fromkeys(names))


def _why_left_out(profile: RegisterProfile, point: Point, is_unnamed: bool) -> Iterator[WhyLeftOut]:
    """Yield the first reason, if there is one."""
    if not point.can_be_read:
        yield WhyLeftOut.ONLY_WRITTEN
    elif point.clears_on_read and is_unnamed:
        yield WhyLeftOut.CLEARS_ON_READ
    elif any(_overlap(point, one) for one in _cleared(profile) if one.name != point.name):
        yield WhyLeftOut.WOULD_CLEAR_OTHERS
    elif not any(_holds(span, point) for span in allowed_spans(profile.rules, point.table)):
        yield WhyLeftOut.NOT_ALLOWED
    elif point.value_type.words > largest_quantity(profile.rules, point.table):
        yield WhyLeftOut.TOO_LONG


def _cleared(profile: RegisterProfile) -> Iterator[Point]:
    return (one for one in profile.points if one.clears_on_read)


def _overlap(one: Point, other: Point) -> bool:
    return (
        one.table is other.table
        and one.register_address <= other.last_register_address
        and other.register_address <= one.last_register_address
    )


def _holds(span: Block, point: Point) -> bool:
    return span.first <= point.register_address and point.last_register_address <= span.last


# The quickest requests of one table


def _blocks_of_table(profile: RegisterProfile, points: Sequence[Point], costs: ReadCosts) -> Iterator[ReadBlock]:
    alone = [one for one in points if one.clears_on_read]
    others = [one for one in points if not one.clears_on_read]
    found = [_hull(one, one, (one,)) for one in alone]
    for span in _safe_spans(profile, others):
        inside = [one for one in others if _holds(span, one)]
        limit = largest_quantity(profile.rules, span.table)
        found += [_with_riders(block, inside) for block in _quickest(_outermost(inside), limit, costs)]
    return iter(sorted(_each_point_once(found), key=lambda one: one.block.first))


def _safe_spans(profile: RegisterProfile, points: Sequence[Point]) -> Iterator[Block]:
    """Yield the allowed spans, cut at every point that reading would clear."""
    if not points:
        return
    table = points[0].table
    cleared = sorted((one for one in _cleared(profile) if one.table is table), key=lambda one: one.register_address)
    for span in allowed_spans(profile.rules, table):
        first = span.first
        for one in cleared:
            if span.first <= one.last_register_address and one.register_address <= span.last:
                if first < one.register_address:
                    yield Block(table, first, one.register_address - 1)
                first = max(first, one.last_register_address + 1)
        if first <= span.last:
            yield Block(table, first, span.last)


def _outermost(points: Iterable[Point]) -> list[Point]:
    """Return points that lie in no other one, in order: their first and their last addresses both go upward."""
    kept: list[Point] = []
    for one in sorted(points, key=lambda point: (point.register_address, -point.last_register_address)):
        if not kept or one.last_register_address > kept[-1].last_register_address:
            kept.append(one)
    return kept


def _quickest(points: Sequence[Point], limit: int, costs: ReadCosts) -> list[ReadBlock]:
    """Return the quickest blocks.

    A longer block never costs less, so in some best plan each block is the hull of neighbours in this order, and the
    best plan of the first n points is the best of the first m and one block with the rest.
    """
    best: list[tuple[float, int]] = [(0.0, 0)]
    begins = [0]
    for end, last in enumerate(points, start=1):
        choices: list[tuple[float, int, int]] = []
        for begin in range(end - 1, -1, -1):
            quantity = last.last_register_address - points[begin].register_address + 1
            if quantity > limit:
                break
            seconds, requests = best[begin]
            choices.append((seconds + costs.exchange_s(last.table, quantity), requests + 1, begin))
        seconds, requests, begin = min(choices)
        best.append((seconds, requests))
        begins.append(begin)
    blocks: list[ReadBlock] = []
    end = len(points)
    while end:
        begin = begins[end]
        blocks.append(_hull(points[begin], points[end - 1], tuple(points[begin:end])))
        end = begin
    return blocks


def _hull(first: Point, last: Point, points: tuple[Point, ...]) -> ReadBlock:
    return ReadBlock(Block(first.table, first.register_address, last.last_register_address), points)


def _with_riders(block: ReadBlock, points: Iterable[Point]) -> ReadBlock:
    """Return the block with all points that its reply tells."""
    inside = (one for one in points if _holds(block.block, one))
    return ReadBlock(block.block, tuple(sorted(inside, key=lambda one: one.register_address)))


def _each_point_once(blocks: Iterable[ReadBlock]) -> Iterator[ReadBlock]:
    """Blocks may overlap where values do: a point is then told by the first of them."""
    told: set[str] = set()
    for one in sorted(blocks, key=lambda block: block.block.first):
        yield ReadBlock(one.block, tuple(point for point in one.points if point.name not in told))
        told.update(point.name for point in one.points)

"""The read plan is the quickest there is, by trying all of them; it asks nothing that it must not."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.point import Access, Point
from buswalk.domain.registers.profile import Block, ReadRules, RegisterProfile
from buswalk.domain.registers.read_costs import ReadCosts, expected_costs, frame_bytes
from buswalk.domain.registers.read_plan import (
    ALL_POINTS,
    NamedPoints,
    ReadPlan,
    WhyLeftOut,
    allowed_spans,
    read_plan,
)
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import BIT, UINT16, Layout, ValueType

HOLDING, COILS = Table.HOLDING_REGISTERS, Table.COILS
TWO_WORDS = ValueType(Layout.UNSIGNED, 32)
COSTS_9600 = ReadCosts(character_s=11 / 9600, beside_s=0.030)


def point(name: str, at: int, value_type: ValueType = UINT16, *, clears: bool = False) -> Point:
    return Point(name, COILS if value_type is BIT else HOLDING, at, value_type, clears_on_read=clears)


def profile(*points: Point, rules: ReadRules | None = None) -> RegisterProfile:
    return RegisterProfile("any", "any", points, rules or ReadRules())


def spans(plan: ReadPlan) -> list[tuple[int, int]]:
    return [(one.block.first, one.block.quantity) for one in plan.blocks]


# Against all plans there are


def partitions(items: Sequence[Point]) -> Iterator[list[list[Point]]]:
    """Yield every way to put items into groups: no thought of order or neighbours."""
    if not items:
        yield []
        return
    head, *rest = items
    for groups in partitions(rest):
        yield [[head], *groups]
        for at, group in enumerate(groups):
            yield [*groups[:at], [head, *group], *groups[at + 1 :]]


def by_trying_all(one: RegisterProfile, costs: ReadCosts) -> float:
    """Return the seconds of the best plan; each point is known to be readable."""
    cleared = {
        (gone.table, at)
        for gone in one.points
        if gone.clears_on_read
        for at in range(gone.register_address, gone.last_register_address + 1)
    }
    best = float("inf")
    for groups in partitions([wanted for wanted in one.points if not wanted.clears_on_read]):
        seconds = 0.0
        for group in groups:
            first = min(member.register_address for member in group)
            last = max(member.last_register_address for member in group)
            table = group[0].table
            limit = one.rules.largest_bit_quantity if table.holds_bits else one.rules.largest_quantity
            asked = range(first, last + 1)
            may = all(
                not one.rules.blocks
                or any(block.table is table and block.first <= at <= block.last for block in one.rules.blocks)
                for at in asked
            )
            clears = any((table, at) in cleared for at in asked)
            if len(asked) > limit or not may or clears or any(member.table is not table for member in group):
                break
            seconds += costs.exchange_s(table, last - first + 1)
        else:
            best = min(best, seconds)
    return best


@st.composite
def small_profiles(draw: st.DrawFn) -> RegisterProfile:
    """Up to seven points, close together and far apart, of one to three words or bits, holes and limits."""
    points = []
    for number in range(draw(st.integers(1, 7))):
        kind = draw(st.sampled_from([UINT16, UINT16, TWO_WORDS, ValueType(Layout.UNSIGNED, 48), BIT]))
        points.append(point(f"p{number}", draw(st.integers(0, 60)), kind, clears=draw(st.integers(0, 9)) == 0))
    blocks: tuple[Block, ...] = ()
    if draw(st.booleans()):
        cuts = sorted(draw(st.sets(st.integers(1, 70), min_size=1, max_size=4)))
        blocks = tuple(
            Block(table, first, last - draw(st.integers(0, 1)))
            for table in (HOLDING, COILS)
            for first, last in zip([0, *cuts], [*cuts, 80], strict=False)
            if first < last - 1
        )
    rules = ReadRules(blocks, largest_quantity=draw(st.sampled_from([3, 8, 20, 125])), largest_bit_quantity=40)
    return profile(*points, rules=rules)


@given(small_profiles(), st.sampled_from([0.0, 0.001, 0.004, 0.02, 0.1]), st.sampled_from([0.0, 0.002]))
@settings(max_examples=400, deadline=None)
def test_no_plan_is_quicker(one: RegisterProfile, beside_s: float, register_s: float) -> None:
    costs = ReadCosts(11 / 9600, beside_s, register_s)
    asked = read_plan(one, ALL_POINTS, costs)
    readable = {told.name for block in asked.blocks for told in block.points}
    kept = [known for known in one.points if known.name in readable or known.clears_on_read]

    best_s = by_trying_all(profile(*kept, rules=one.rules), costs)

    assert asked.seconds == pytest.approx(best_s, abs=1e-12)


@given(small_profiles())
@settings(max_examples=300, deadline=None)
def test_each_point_is_told_whole_by_one_request_or_left_out_with_a_reason(one: RegisterProfile) -> None:
    asked = read_plan(one, ALL_POINTS, COSTS_9600)

    told = [told.name for block in asked.blocks for told in block.points]
    assert sorted([*told, *(gone.point.name for gone in asked.left_out)]) == sorted(known.name for known in one.points)
    for block in asked.blocks:
        assert all(
            block.block.first <= member.register_address and member.last_register_address <= block.block.last
            for member in block.points
        )
        spans_there = allowed_spans(one.rules, block.block.table)
        assert any(span.first <= block.block.first and block.block.last <= span.last for span in spans_there)


# What it does, worked by hand


def test_a_hole_is_read_across_when_its_characters_cost_less_than_a_request() -> None:
    """9600 8E1: a request more costs 13 characters and 30 ms, that is 44.9 ms; a register of a hole 2.29 ms.

    So 19 unwanted registers (43.5 ms) are read across, 20 (45.8 ms) are not.
    """
    near = read_plan(profile(point("a", 0), point("b", 20)), ALL_POINTS, COSTS_9600)
    far = read_plan(profile(point("a", 0), point("b", 21)), ALL_POINTS, COSTS_9600)

    assert spans(near) == [(0, 21)]
    assert spans(far) == [(0, 1), (21, 1)]


def test_fewer_seconds_may_be_more_requests() -> None:
    """A quick device at 9600 baud: two requests of one register are quicker than one of sixty."""
    quick = ReadCosts(11 / 9600, 0.010)

    assert spans(read_plan(profile(point("a", 0), point("b", 60)), ALL_POINTS, quick)) == [(0, 1), (60, 1)]


def test_a_hole_that_the_profile_forbids_is_never_asked() -> None:
    """Some devices refuse the whole request for one address that they do not have."""
    rules = ReadRules((Block(HOLDING, 0, 9), Block(HOLDING, 11, 20)))

    asked = read_plan(profile(point("a", 9), point("b", 11), rules=rules), ALL_POINTS, COSTS_9600)

    assert spans(asked) == [(9, 1), (11, 1)]


def test_blocks_that_adjoin_have_no_hole_between_them() -> None:
    rules = ReadRules((Block(HOLDING, 10, 20), Block(HOLDING, 0, 9)))

    asked = read_plan(profile(point("a", 9), point("b", 10), rules=rules), ALL_POINTS, COSTS_9600)

    assert spans(asked) == [(9, 2)]


def test_a_value_of_two_words_is_never_cut_at_the_largest_quantity() -> None:
    """Its halves would be of two moments."""
    rules = ReadRules(largest_quantity=3)

    asked = read_plan(profile(point("a", 0, TWO_WORDS), point("b", 2, TWO_WORDS), rules=rules), ALL_POINTS, COSTS_9600)

    assert spans(asked) == [(0, 2), (2, 2)]


def test_what_is_cleared_by_reading_is_read_only_by_name_and_alone() -> None:
    points = (point("a", 0), point("alarms", 1, clears=True), point("b", 2))

    usual = read_plan(profile(*points), ALL_POINTS, COSTS_9600)
    named = read_plan(profile(*points), NamedPoints(("b", "alarms", "a")), COSTS_9600)

    assert spans(usual) == [(0, 1), (2, 1)]
    assert [(gone.point.name, gone.why) for gone in usual.left_out] == [("alarms", WhyLeftOut.CLEARS_ON_READ)]
    assert spans(named) == [(0, 1), (1, 1), (2, 1)]
    assert named.left_out == ()


def test_a_point_that_shares_a_register_with_what_reading_clears_is_left_out() -> None:
    points = (point("counter", 4, TWO_WORDS, clears=True), point("low_word", 5))

    asked = read_plan(profile(*points), NamedPoints(("low_word",)), COSTS_9600)

    assert [gone.why for gone in asked.left_out] == [WhyLeftOut.WOULD_CLEAR_OTHERS]


def test_what_cannot_be_read_says_why() -> None:
    rules = ReadRules((Block(HOLDING, 0, 20),), largest_quantity=2)
    points = (
        point("inside", 0),
        point("outside", 21),
        point("long", 3, ValueType(Layout.TEXT, 64)),
        Point("reset", HOLDING, 9, access=Access.WRITE),
    )

    asked = read_plan(profile(*points, rules=rules), ALL_POINTS, COSTS_9600)

    assert [(gone.point.name, gone.why) for gone in asked.left_out] == [
        ("outside", WhyLeftOut.NOT_ALLOWED),
        ("long", WhyLeftOut.TOO_LONG),
        ("reset", WhyLeftOut.ONLY_WRITTEN),
    ]


def test_bit_fields_of_one_register_are_read_once() -> None:
    points = (point("stage", 7), point("alarm", 7), point("whole", 6, TWO_WORDS))

    asked = read_plan(profile(*points), ALL_POINTS, COSTS_9600)

    assert spans(asked) == [(6, 2)]
    assert {told.name for told in asked.blocks[0].points} == {"stage", "alarm", "whole"}


def test_an_unknown_name_is_refused() -> None:
    with pytest.raises(KeyError):
        read_plan(profile(point("a", 0)), NamedPoints(("b",)), COSTS_9600)


@pytest.mark.parametrize(
    ("table", "quantity", "count"),
    [(HOLDING, 3, 8 + 11), (COILS, 19, 8 + 8), (COILS, 8, 8 + 6), (HOLDING, 125, 8 + 255)],
)
def test_frames_are_as_long_as_the_standard_says(table: Table, quantity: int, count: int) -> None:
    """Application V1.1b3, 6.1 and 6.3 have the examples with 19 coils and 3 registers; 125 fill a frame."""
    assert frame_bytes(table, quantity) == count


def test_before_anything_is_measured_costs_come_from_the_line() -> None:
    """19200 8E1: t3.5 is 2.005 ms (Serial Line V1.02, 2.5.1.1); a port of 16 ms latency waits twice for it."""
    traits = LineTraits(
        carries_speed=True,
        carries_framing=True,
        spends_wire_time=True,
        mark_reporting=MarkReporting.NOT_AVAILABLE,
        echo=Echo.NOT_HEARD,
        latency_s=0.016,
        latency_source=LatencySource.ASKED,
        settings_change_s=0.0,
        is_simulated=False,
    )

    costs = expected_costs(SerialSettings.of(19_200, "8E1"), traits, turnaround_s=0.005)

    assert costs.character_s == pytest.approx(11 / 19_200)
    assert costs.beside_s == pytest.approx(0.005 + 0.016 + 0.016 + 3.5 * 11 / 19_200)

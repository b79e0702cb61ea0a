"""Maps drawn at random are learnt as they are, with few more reads than who knows them needs to prove them."""

from __future__ import annotations

from statistics import median

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.registers.map_learning.fewest_reads import fewest_reads
from buswalk.domain.registers.map_learning.known_map import KnownMap, Read, Seen, Standing
from buswalk.domain.registers.map_learning.next_read import next_read
from buswalk.domain.registers.profile import Block
from tests.fakes.drawn_map import TABLE, MapInMemory, MapLaw, learnt_from

WIDE_HOLES = MapLaw((4, 60), (4, 200))
WIDER_HOLES = MapLaw((4, 200), (100, 1000))
DENSE = MapLaw((4, 60), (1, 20))


def blocks(*ends: tuple[int, int]) -> tuple[Block, ...]:
    return tuple(Block(TABLE, first, last) for first, last in ends)


@pytest.mark.parametrize("law", [WIDE_HOLES, WIDER_HOLES, DENSE])
def test_drawn_maps_are_learnt_as_they_are(law: MapLaw) -> None:
    """Complete and without an invention, for spans of four and more."""
    for seed in range(12):
        spans = law.draw(seed)

        known = learnt_from(MapInMemory(spans), KnownMap(law.block))

        assert known.spans() == spans, seed


@pytest.mark.parametrize("law", [WIDE_HOLES, WIDER_HOLES])
def test_reads_are_at_most_three_tenths_above_the_best_possible(law: MapLaw) -> None:
    """The best possible is what proves the map to one who knows it already: nobody can do with less."""
    for seed in range(12):
        device = MapInMemory(law.draw(seed))
        known = learnt_from(device, KnownMap(law.block))

        assert device.reads <= 1.3 * fewest_reads(law.block, known.spans(), 4, 125), seed


def test_where_spans_stand_close_the_best_possible_is_what_must_be_told() -> None:
    """Each answer is a yes or a no, so who does not know the map needs its information in answers (Shannon, 1948)."""
    shares = []
    for seed in range(12):
        spans = DENSE.draw(seed)
        device = MapInMemory(spans)
        learnt_from(device, KnownMap(DENSE.block))
        shares.append(device.reads / max(DENSE.bits(spans), fewest_reads(DENSE.block, spans, 4, 125)))

    assert median(shares) <= 1.3, shares


@given(
    lengths=st.lists(st.tuples(st.integers(4, 200), st.integers(1, 90)), max_size=8),
    first=st.integers(0, 40),
    limit=st.integers(4, 125),
    end=st.integers(0, 60),
)
@settings(max_examples=150, deadline=None)
def test_any_map_of_spans_of_four_and_more_is_learnt_whatever_the_device_limits_reads_to(
    lengths: list[tuple[int, int]], first: int, limit: int, end: int
) -> None:
    spans: list[Block] = []
    at = first
    for length, hole in lengths:
        spans.append(Block(TABLE, at, at + length - 1))
        at += length + hole
    block = Block(TABLE, 0, at + end)

    known = learnt_from(MapInMemory(tuple(spans), limit), KnownMap(block))

    assert known.spans() == tuple(spans)
    assert known.unknown == 0


@given(cut=st.integers(1, 60), span=st.integers(4, 120), hole=st.integers(1, 30))
@settings(max_examples=60, deadline=None)
def test_what_of_a_span_lies_in_the_asked_block_is_found_however_little_it_is(cut: int, span: int, hole: int) -> None:
    """A span may begin before the block and end behind it: its length there is no span's length."""
    first = Block(TABLE, 100, 100 + span - 1)
    second = Block(TABLE, first.last + hole + 1, first.last + hole + 200)
    block = Block(TABLE, first.first + min(cut, span - 1), second.first)

    known = learnt_from(MapInMemory((first, second)), KnownMap(block))

    assert known.spans() == (Block(TABLE, block.first, first.last), Block(TABLE, second.first, second.first))


def test_every_address_is_asked_where_spans_may_be_single_registers() -> None:
    spans = blocks((3, 3), (10, 11), (30, 30))

    known = learnt_from(MapInMemory(spans), KnownMap(Block(TABLE, 0, 40), shortest_span=1))

    assert known.spans() == spans


def test_a_table_that_is_all_there_takes_its_least_number_of_reads() -> None:
    """1000 registers in eight reads of 125 (Application V1.1b3, 6.3)."""
    device = MapInMemory(blocks((0, 999)))

    learnt_from(device, KnownMap(Block(TABLE, 0, 999)))

    assert device.reads == 8


def test_a_limit_of_the_device_is_told_from_addresses_that_are_not_there() -> None:
    """Sixteen registers a read, as some devices have it, and the same exception for both."""
    known = learnt_from(MapInMemory(blocks((0, 199)), largest_quantity=16), KnownMap(Block(TABLE, 0, 199)))

    assert known.spans() == blocks((0, 199))
    assert known.limit.read == 16
    assert known.limit.refused >= 17


def test_a_read_that_brings_nothing_leaves_its_address_unclear_and_the_rest_learnt() -> None:
    known = KnownMap(Block(TABLE, 0, 49))
    device = MapInMemory(blocks((0, 49)))
    while (read := next_read(known)) is not None:
        known.take(read, Seen.NOTHING if read.first <= 20 <= read.last else device.answer(read))

    assert known.spans() == blocks((0, 19), (21, 49))
    assert known.spans(Standing.UNCLEAR) == blocks((20, 20))


def test_what_was_asked_before_is_not_asked_again() -> None:
    """A learner that is stopped and goes on asks what is left."""
    device = MapInMemory(WIDE_HOLES.draw(5))
    whole = KnownMap(WIDE_HOLES.block)
    asked: list[tuple[Read, Seen]] = []
    while (read := next_read(whole)) is not None:
        seen = device.answer(read)
        asked.append((read, seen))
        whole.take(read, seen)
    again = KnownMap(WIDE_HOLES.block)
    for read, seen in asked[:200]:
        again.take(read, seen)

    assert next_read(again) == asked[200][0]


@pytest.mark.parametrize(
    ("block", "spans", "reads"),
    [
        # Nothing between two closed ends: refusals of 3, 7, 11 ... leave no room for four of 65536 addresses.
        (Block(TABLE, 0, 65535), (), 16384),
        # One address that is not there, between two spans.
        (Block(TABLE, 0, 8), ((0, 3), (5, 8)), 2 + 1),
        # A hole of eight: both its ends, and one inside.
        (Block(TABLE, 0, 15), ((0, 3), (12, 15)), 2 + 3),
        # 126 registers need two reads of 125.
        (Block(TABLE, 0, 125), ((0, 125),), 2),
    ],
)
def test_the_fewest_reads_by_hand(block: Block, spans: tuple[tuple[int, int], ...], reads: int) -> None:
    assert fewest_reads(block, blocks(*spans), 4, 125) == reads

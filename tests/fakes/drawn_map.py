"""Register maps drawn at random, and a device in memory that answers reads as such a map lets it."""

from __future__ import annotations

import random
from dataclasses import dataclass
from math import log2

from buswalk.domain.registers.map_learning.known_map import KnownMap, Read, Seen
from buswalk.domain.registers.map_learning.next_read import next_read
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.tables import Table

TABLE = Table.HOLDING_REGISTERS
MOST_READS = 20_000


@dataclass(frozen=True, slots=True)
class MapLaw:
    """How maps are drawn: lengths of spans and of holes, both evenly between their ends."""

    span: tuple[int, int]
    hole: tuple[int, int]
    addresses: int = 3000

    def draw(self, seed: int) -> tuple[Block, ...]:
        """Return spans in order; the last hole goes to the end of the block."""
        rng = random.Random(seed)
        spans: list[Block] = []
        first = rng.randint(0, self.hole[1])
        while (last := first + rng.randint(*self.span) - 1) < self.addresses:
            spans.append(Block(TABLE, first, last))
            first = last + 1 + rng.randint(*self.hole)
        return tuple(spans)

    @property
    def block(self) -> Block:
        """All that is asked."""
        return Block(TABLE, 0, self.addresses - 1)

    def bits(self, spans: tuple[Block, ...]) -> float:
        """Return what one must be told, in answers of yes or no, to know a map drawn so (Shannon, 1948)."""
        a_span = log2(self.span[1] - self.span[0] + 1) + log2(self.hole[1] - self.hole[0] + 1)
        return len(spans) * a_span


@dataclass
class MapInMemory:
    """Answers reads."""

    spans: tuple[Block, ...]
    largest_quantity: int = 125
    reads: int = 0

    def answer(self, read: Read) -> Seen:
        """Refuse what is not wholly there, or is too much, with the same exception: devices tell no more."""
        self.reads += 1
        is_there = any(one.first <= read.first <= read.last <= one.last for one in self.spans)
        return Seen.READ if is_there and read.quantity <= self.largest_quantity else Seen.REFUSED


def learnt_from(device: MapInMemory, known: KnownMap) -> KnownMap:
    """Learn all of it."""
    while (read := next_read(known)) is not None:
        known.take(read, device.answer(read))
        assert device.reads < MOST_READS, (read, known.unknown)
    return known

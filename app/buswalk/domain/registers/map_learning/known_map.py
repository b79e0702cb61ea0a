"""What is known of each address of a block, and what follows from each reply."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.domain.registers.map_learning.read_limit import ReadLimit
from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS
from buswalk.domain.registers.profile import Block


class Standing(Enum):
    """What is known of an address."""

    UNKNOWN = 0
    READABLE = 1
    ABSENT = 2
    """A read of it was refused, or no span of the shortest length fits in there."""
    UNCLEAR = 3
    """Neither a reply nor a refusal came, however often it was asked."""


class Seen(Enum):
    """What came of a read."""

    READ = "read"
    REFUSED = "refused"
    """By an exception that speaks of addresses, or by a silence that is this device's way to refuse."""
    TOO_MUCH = "too_much"
    """By an exception that speaks of the quantity."""
    NOTHING = "nothing"


@dataclass(frozen=True, slots=True)
class Read:
    """One request: from this address on, so many."""

    first: int
    quantity: int

    @property
    def last(self) -> int:
        """Its last address."""
        return self.first + self.quantity - 1


@dataclass(frozen=True, slots=True)
class Refused:
    """A refused read, of which at least one address is not there; is_proof if its quantity cannot be the reason."""

    read: Read
    is_proof: bool


class KnownMap:
    """Standings of a block; grows with each reply.

    A refused read says only that one of its addresses is not there. Spans are taken to be at least `shortest_span`
    long: no shorter one can hide between two addresses that are not there.
    """

    def __init__(self, block: Block, shortest_span: int = 4, largest_quantity: int = 125) -> None:
        if shortest_span < 1:
            raise ValueError(f"a span has at least one address, not {shortest_span}")
        self.block = block
        self.shortest_span = shortest_span
        self.limit = ReadLimit(min(largest_quantity, block.table.largest_quantity))
        self._standing = bytearray(block.quantity)
        self._refusals: list[Refused] = []
        self._known_to = block.first
        self._ended: list[int] = []

    # What is known

    def standing(self, address: int) -> Standing:
        """Return what is known of an address; beyond the ends of the table nothing is there."""
        if not self.block.first <= address <= self.block.last:
            is_end = not 0 <= address <= LAST_REGISTER_ADDRESS
            return Standing.ABSENT if is_end else Standing.UNKNOWN
        return Standing(self._standing[address - self.block.first])

    def first_unknown(self) -> int:
        """Return the first address of which nothing is known; one beyond the block if there is none."""
        at = self._standing.find(Standing.UNKNOWN.value, self._known_to - self.block.first)
        self._known_to = self.block.first + (at if at >= 0 else len(self._standing))
        return self._known_to

    def run_end(self, first: int) -> int:
        """Return the last of the neighbouring addresses that stand as this one does."""
        rest = self._standing[first - self.block.first :]
        return first + len(rest) - len(rest.lstrip(rest[:1])) - 1

    def run_before(self, address: int) -> int:
        """Return how many addresses before this one, without a gap, can be read."""
        count = 0
        while self.standing(address - count - 1) is Standing.READABLE:
            count += 1
        return count

    def refusal_at(self, first_unknown: int) -> Refused | None:
        """Return the tightest refusal that says: one of the addresses from here to its end is not there."""
        touching = [
            one
            for one in self._refusals
            if one.read.first <= first_unknown <= one.read.last
            and first_unknown - one.read.first <= self.run_before(first_unknown)
        ]
        return min(touching, key=lambda one: (one.read.last, not one.is_proof), default=None)

    @property
    def ended(self) -> tuple[int, ...]:
        """Lengths of the spans whose ends were found, in the order of finding."""
        return tuple(self._ended)

    @property
    def unknown(self) -> int:
        """How many addresses nothing is known of."""
        return self._standing.count(Standing.UNKNOWN.value)

    def spans(self, wanted: Standing = Standing.READABLE) -> tuple[Block, ...]:
        """Return the neighbouring addresses of one standing, in order."""
        spans: list[Block] = []
        address = self.block.first
        while address <= self.block.last:
            last = self.run_end(address)
            if self.standing(address) is wanted:
                spans.append(Block(self.block.table, address, last))
            address = last + 1
        return tuple(spans)

    # What comes

    def take(self, read: Read, seen: Seen) -> None:
        """Draw what follows from a reply, or from its absence."""
        match seen:
            case Seen.READ:
                self._mark(read.first, read.last, Standing.READABLE)
                self.limit.was_read(read.quantity)
                self._explain_refusals()
            case Seen.REFUSED if read.quantity == 1:
                self._is_absent(read.first)
                self._explain_refusals()
            case Seen.NOTHING if read.quantity == 1:
                self._mark(read.first, read.first, Standing.UNCLEAR)
            case Seen.TOO_MUCH if read.quantity > 1:
                self.limit.was_too_much(read.quantity)
            case Seen.TOO_MUCH:
                self.take(read, Seen.REFUSED)
            case _:
                is_proof = seen is Seen.REFUSED and read.quantity <= self.limit.read
                self._refusals.append(Refused(read, is_proof))
                self._explain_refusals()

    def _explain_refusals(self) -> None:
        """Forget refusals that an absent address explains; what remains may name one, or speak of the quantity."""
        for one in tuple(self._refusals):
            unknown = [at for at in self._addresses(one) if self.standing(at) is not Standing.READABLE]
            if not unknown:
                self._refusals.remove(one)
                self.limit.was_too_much(one.read.quantity)
            elif any(self.standing(at) is Standing.ABSENT for at in unknown):
                self._refusals.remove(one)
            elif self._names_one(one, unknown):
                self._refusals.remove(one)
                self._is_absent(unknown[0])

    def _names_one(self, refused: Refused, unknown: list[int]) -> bool:
        """Tell whether the first of the addresses that are not known must be the one that is not there."""
        is_only_one = len(unknown) == 1 and refused.is_proof and self.standing(unknown[0]) is Standing.UNKNOWN
        return is_only_one or self._holds_a_start(unknown[0], refused.read.last)

    def _holds_a_start(self, first: int, last: int) -> bool:
        """Tell whether a span must begin behind `first`: it can be read at `last`, and not so far before `first`.

        A span that began earlier would reach without a gap to `last`, and the read would not have been refused.
        """
        before = first
        while self.standing(before) is Standing.UNKNOWN and last - before < self.shortest_span:
            before -= 1
        is_led_to = self.standing(last) is Standing.READABLE and self.standing(before) is Standing.ABSENT
        return is_led_to and last - before <= self.shortest_span

    def _is_absent(self, address: int) -> None:
        self._mark(address, address, Standing.ABSENT)
        if length := self.run_before(address):
            self._ended.append(length)
        self._close_short_gaps(address)

    @staticmethod
    def _addresses(refused: Refused) -> range:
        return range(refused.read.first, refused.read.last + 1)

    def _close_short_gaps(self, absent: int) -> None:
        """Where fewer unknown addresses than the shortest span lie between two absent ones, none of them is there."""
        for step in (-1, 1):
            between: list[int] = []
            at = absent + step
            while self.standing(at) is Standing.UNKNOWN and len(between) < self.shortest_span:
                between.append(at)
                at += step
            is_inside = all(self.block.first <= one <= self.block.last for one in between)
            if is_inside and self.standing(at) is Standing.ABSENT and len(between) < self.shortest_span:
                for one in between:
                    self._mark(one, one, Standing.ABSENT)

    def _mark(self, first: int, last: int, standing: Standing) -> None:
        for address in range(max(first, self.block.first), min(last, self.block.last) + 1):
            self._standing[address - self.block.first] = standing.value

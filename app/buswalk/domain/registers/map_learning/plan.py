"""What is to be learnt of a device's map, what that may take, and what the learner says. Frozen values."""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.registers.map_learning.known_map import Read, Seen
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.tables import Table

READING_MAY_CHANGE = "Reading registers nobody has described can clear counters, acknowledge alarms or latch values."
USUAL_TURNAROUND_S = 0.03
REQUEST_CHARACTERS, REFUSAL_CHARACTERS, REPLY_OVERHEAD_CHARACTERS = 8, 5, 5
"""Lengths of a read request, of an exception and of a normal reply without its data (Application V1.1b3, 6.3 and 7)."""
BITS_A_CHARACTER = 11


@dataclass(frozen=True, slots=True)
class LearntRead:
    """One read that was concluded: where it was asked and what came of it."""

    table: Table
    read: Read
    seen: Seen


@dataclass(frozen=True, slots=True)
class LearnPlan:
    """Which parts of which tables of one device are to be learnt.

    Attributes:
        confirmed: The user's words that reading may change something in this device; never empty.
        shortest_span: Shorter spans may be missed; 1 asks every address.
        largest_quantity: Of words or bits in one request; a device's own lower limit is found out.
        may_ask_living_line: The user has said that another client may be disturbed.
        memory: What was asked before, so that it is not asked again.

    Raises:
        ValueError: Nothing to learn, no server's address, or it was not confirmed.
    """

    server_address: int
    settings: SerialSettings
    blocks: tuple[Block, ...]
    confirmed: str
    wait_s: float = 0.5
    minimum_gap_s: float = 0.0
    shortest_span: int = 4
    largest_quantity: int = 125
    listen_s: float = 10.0
    may_ask_living_line: bool = False
    memory: tuple[LearntRead, ...] = ()

    def __post_init__(self) -> None:
        if self.server_address not in SERVER_ADDRESSES:
            raise ValueError(f"address {self.server_address} is no server's: servers have 1 to 247")
        if not self.blocks:
            raise ValueError("say which addresses of which table are to be learnt")
        if not self.confirmed.strip():
            raise ValueError(f"{READING_MAY_CHANGE} Learning a map needs that to be confirmed.")
        if self.shortest_span < 1 or self.largest_quantity < 1:
            raise ValueError("a span and a request have at least one address")
        if self.wait_s <= 0.0 or self.minimum_gap_s < 0.0 or self.listen_s < 0.0:
            raise ValueError("a wait is above zero, and no other time below it")


@dataclass(frozen=True, slots=True)
class LearningForecast:
    """What is left to do: between all of it readable, and nothing there."""

    reads_if_readable: int
    reads_if_absent: int
    seconds_if_readable: float
    seconds_if_absent: float


def forecast(blocks: tuple[Block, ...], plan: LearnPlan, turnaround_s: float = USUAL_TURNAROUND_S) -> LearningForecast:
    """Return what learning these blocks takes: long reads where all is readable, short ones where nothing is there."""
    character_s = BITS_A_CHARACTER / plan.settings.baud_rate
    rest_s = turnaround_s + max(plan.minimum_gap_s, inter_frame_delay_s(plan.settings)) * 2
    readable = absent = 0
    readable_s = absent_s = 0.0
    for block in blocks:
        most = min(plan.largest_quantity, block.table.largest_quantity)
        reads = ceil(block.quantity / most)
        data = ceil(block.quantity / 8) if block.table.holds_bits else 2 * block.quantity
        readable += reads
        characters = reads * (REQUEST_CHARACTERS + REPLY_OVERHEAD_CHARACTERS) + data
        readable_s += characters * character_s + reads * rest_s
        refused = ceil(block.quantity / plan.shortest_span)
        absent += refused
        absent_s += refused * ((REQUEST_CHARACTERS + REFUSAL_CHARACTERS) * character_s + rest_s)
    return LearningForecast(readable, absent, readable_s, absent_s)


@dataclass(frozen=True, slots=True)
class LearningBegan:
    """Learning begins; with what was confirmed and what it may take."""

    server_address: int
    settings: SerialSettings
    blocks: tuple[Block, ...]
    confirmed: str
    forecast: LearningForecast
    at_s: float


@dataclass(frozen=True, slots=True)
class MapProgress:
    """How it goes.

    Attributes:
        reads: Concluded so far in this block.
        unknown: Addresses of the block that nothing is known of.
        forecast: Of what is left in all blocks.
    """

    block: Block
    reads: int
    readable: int
    unknown: int
    forecast: LearningForecast
    at_s: float


@dataclass(frozen=True, slots=True)
class MapLearnt:
    """A block is done.

    Attributes:
        spans: What can be read, in order; complete for spans of `shortest_span` and more.
        unclear: Neither a reply nor a refusal came there.
        largest_read: The largest quantity read in one request.
        quantity_refused: A quantity that was refused although all of it can be read; 0 if there was none.
        refuses_by_silence: It does not send exceptions for what is not there.
    """

    server_address: int
    settings: SerialSettings
    block: Block
    spans: tuple[Block, ...]
    unclear: tuple[Block, ...]
    shortest_span: int
    reads: int
    largest_read: int
    quantity_refused: int
    refuses_by_silence: bool
    at_s: float


@dataclass(frozen=True, slots=True)
class TableNotServed:
    """The device does not know the function that reads this table."""

    server_address: int
    settings: SerialSettings
    table: Table
    at_s: float


@dataclass(frozen=True, slots=True)
class LearningGivenUp:
    """The device answers no more; what is known stands and can be gone on from."""

    server_address: int
    settings: SerialSettings
    block: Block
    sentence: str
    at_s: float


LearningEvent: TypeAlias = LearningBegan | MapProgress | MapLearnt | TableNotServed | LearningGivenUp

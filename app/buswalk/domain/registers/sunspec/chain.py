"""The chain of models, step by step: which registers to read next, and what they say.

    base      'S' 'u' 'n' 'S'
    base + 2  number, length, then so many registers; the next model follows; number 0xFFFF ends it

Marker, places and end: SunSpec Information Model Specification (from memory), held in the tests against the code of
pysunspec2.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS

BASES = (40000, 50000, 0)
"""Register addresses, as sent, at which the marker may stand; in this order they are tried."""
MARKER = (0x5375, 0x6E53)
END = 0xFFFF
MOST_MODELS = 200
LONGEST_MODEL = 6000
"""A model that claims to be longer is taken for a broken chain (judgement, no source)."""
HEAD_REGISTERS = 2


@dataclass(frozen=True, slots=True)
class LocatedModel:
    """A model of a device.

    Attributes:
        first: Register address of its number, as sent.
        length: Registers behind number and length.
    """

    number: int
    first: int
    length: int

    @property
    def quantity(self) -> int:
        """All its registers, number and length included."""
        return HEAD_REGISTERS + self.length


@dataclass(frozen=True, slots=True)
class Chain:
    """What is known of the chain of a device.

    Attributes:
        base: Where the marker stands.
        next_head: Where the next number and length stand.
        is_ended: The end was read; otherwise `problem` says why it breaks off, or it is not read yet.
    """

    base: int
    next_head: int
    models: tuple[LocatedModel, ...] = ()
    is_ended: bool = False
    problem: str = ""


def chain_at(base: int, words: Sequence[int]) -> Chain | None:
    """Return the beginning of a chain if the marker stands in these two words; None otherwise."""
    return Chain(base, base + len(MARKER)) if tuple(words) == MARKER else None


def with_head(chain: Chain, number: int, length: int) -> Chain:
    """Return the chain with what the next number and length say."""
    if number == END:
        return replace(chain, is_ended=True)
    model = LocatedModel(number, chain.next_head, length)
    last = model.first + model.quantity - 1
    if number == 0 or length > LONGEST_MODEL or last > LAST_REGISTER_ADDRESS:
        return replace(chain, problem=f"at {chain.next_head} stand number {number} and length {length}: no model")
    if len(chain.models) >= MOST_MODELS:
        return replace(chain, problem=f"more than {MOST_MODELS} models: it is not read on")
    return replace(chain, models=(*chain.models, model), next_head=last + 1)

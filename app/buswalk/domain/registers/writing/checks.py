"""What speaks against a write before it is sent: what the list forbids, and what a person must have weighed.

None of this replaces local rules and licensed practice; it says where they matter.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum

from buswalk.domain.registers.conversion import value_of
from buswalk.domain.registers.point import Access, Between, Point, WriteType
from buswalk.domain.registers.value import NoValue, NumberValue
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace, SecondConfirmation

WEARING_WRITES_ALLOWED = 3
"""In one visit, to one place: one try, one correction, one putting back (judgement, no source)."""
_RULES = "local rules and licensed practice come first"
_CHANGES_PLANT = "a write changes the plant: be sure who is there, what moves, and what starts by itself"
_NOT_DESCRIBED = (
    "no list says what this does: it may start a machine, switch mains or change how the device is reached; be sure "
    "who is at the plant"
)
_ALL_DEVICES = (
    "every device on this line takes it, and none confirms: know who is on the line, and read each one afterwards"
)
# Common practice, no source: so many writes are quoted.
_WEARS = "it is stored for good, and each write wears that memory: some 100 000 writes are its life"
_STARTS = "it starts something: what is read back does not say whether it has, and nothing can be put back"
_NO_WAY_BACK = "what stands there now is not known: it cannot be put back"


class CautionKind(Enum):
    """What a caution is about."""

    PLANT = "plant"
    """Something may move, heat, or carry mains."""
    NOT_DESCRIBED = "not_described"
    MEMORY = "memory"
    TRIGGER = "trigger"
    ALL_DEVICES = "all_devices"
    NO_WAY_BACK = "no_way_back"


@dataclass(frozen=True, slots=True)
class Caution:
    """One sentence to be read before the write."""

    kind: CautionKind
    sentence: str


def problems_of(intended: IntendedWrite) -> tuple[str, ...]:
    """Return a sentence for each thing that the list forbids; empty if it forbids nothing. Raw places have no list."""
    if not isinstance(intended.place, KnownPlace):
        return ()
    point = intended.place.point
    if point.access is Access.READ:
        return (f"{point.name} is only read, says its list: it is not written under this name",)
    value = value_of(point, intended.words)
    if isinstance(value, NoValue):
        return (f"the value for {point.name} would mean 'no value': {value.why.value}",)
    return (*_outside(point, value.value), *_not_named(point, value)) if isinstance(value, NumberValue) else ()


def _outside(point: Point, value: Decimal) -> tuple[str, ...]:
    if not isinstance(point.range, Between) or point.range.low <= value <= point.range.high:
        return ()
    unit = f" {point.unit}" if point.unit else ""
    return (
        f"{value}{unit} is outside of what the list allows for {point.name}: {point.range.low} to "
        f"{point.range.high}{unit}",
    )


def _not_named(point: Point, value: NumberValue) -> tuple[str, ...]:
    if not point.named or value.named:
        return ()
    known = ", ".join(f"{one.raw} {one.words}" for one in point.named)
    return (f"{value.raw} is none of the values that {point.name} can have: {known}",)


def cautions_of(intended: IntendedWrite, *, old_is_known: bool) -> tuple[Caution, ...]:
    """Return what is to be read before this write, the gravest first."""
    cautions = [_plant_caution(intended)]
    if intended.is_broadcast:
        cautions.append(Caution(CautionKind.ALL_DEVICES, _ALL_DEVICES))
    if intended.write_type is WriteType.EEPROM:
        cautions.append(Caution(CautionKind.MEMORY, _WEARS))
    if intended.write_type is WriteType.TRIGGER:
        cautions.append(Caution(CautionKind.TRIGGER, _STARTS))
    elif not old_is_known:
        cautions.append(Caution(CautionKind.NO_WAY_BACK, _NO_WAY_BACK))
    return tuple(cautions)


def _plant_caution(intended: IntendedWrite) -> Caution:
    match intended.place:
        case KnownPlace(point) if point.caution:
            return Caution(CautionKind.PLANT, f"{point.caution.rstrip('.')}; {_RULES}")
        case RawPlace():
            return Caution(CautionKind.NOT_DESCRIBED, f"{_NOT_DESCRIBED}; {_RULES}")
        case _:
            return Caution(CautionKind.PLANT, f"{_CHANGES_PLANT}; {_RULES}")


def confirmations_needed(intended: IntendedWrite, writes_before: int) -> frozenset[SecondConfirmation]:
    """Return what must be confirmed apart; `writes_before` counts those to this place in this visit."""
    needed = set()
    if intended.is_broadcast:
        needed.add(SecondConfirmation.ALL_DEVICES)
    if intended.write_type is WriteType.EEPROM and writes_before >= WEARING_WRITES_ALLOWED:
        needed.add(SecondConfirmation.WEARS_MEMORY)
    return frozenset(needed)

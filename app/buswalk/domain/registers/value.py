"""What a point's words say: a number, a text, on or off, or that there is no value."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from enum import Enum
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class NumberValue:
    """A number in the unit of its point, exact: no float dust.

    Attributes:
        raw: The number before scaling.
        named: Words of an enumeration; empty if there are none for it.
    """

    value: Decimal
    raw: Decimal
    named: str = ""


@dataclass(frozen=True, slots=True)
class BitValue:
    """One bit."""

    is_on: bool
    named: str = ""


@dataclass(frozen=True, slots=True)
class TextValue:
    """A text without its padding."""

    text: str


@dataclass(frozen=True, slots=True)
class TimeValue:
    """Seconds since 1970-01-01 UTC."""

    seconds: int


class WhyNoValue(Enum):
    """Why the words mean no value."""

    SENTINEL = "the list says this raw value means no value"
    NOT_A_NUMBER = "it is not a number"
    INFINITE = "it is infinite"
    NOT_DECIMAL = "a digit of it is above 9"


@dataclass(frozen=True, slots=True)
class NoValue:
    """There were words, but they mean no value."""

    why: WhyNoValue


Value: TypeAlias = NumberValue | BitValue | TextValue | TimeValue | NoValue

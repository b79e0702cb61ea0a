"""The number to be set was written in the other notation: decimal set on hex dials, or hex read as decimal."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.switches.board import ControlKind
from buswalk.domain.switches.mistakes.course import Course, Ground, with_sum
from buswalk.domain.switches.mistakes.kinds import COMMON, WITHOUT_HEX_DIALS, MistakeKind, Stage


@dataclass(frozen=True, slots=True)
class DecimalSetOnHex:
    """The decimal digits were set as if they were hex: 37 as 0x37, which is 55."""

    share: float
    kind: MistakeKind = MistakeKind.DECIMAL_SET_ON_HEX
    stage: Stage = Stage.NUMBER

    def apply(self, course: Course) -> Course | None:
        """Set the switches to the number whose hex digits are those of the decimal one."""
        return with_sum(course, int(str(course.number), 16))


@dataclass(frozen=True, slots=True)
class HexReadAsDecimal:
    """The hex digits were taken for decimal ones: 37 is 0x25, and 25 was set."""

    share: float
    kind: MistakeKind = MistakeKind.HEX_READ_AS_DECIMAL
    stage: Stage = Stage.NUMBER

    def apply(self, course: Course) -> Course | None:
        """Set the switches to the number whose decimal digits are those of the hex one, where there are no letters."""
        digits = f"{course.number:x}"
        return with_sum(course, int(digits)) if digits.isdecimal() else None


def instances(ground: Ground) -> Iterator[DecimalSetOnHex | HexReadAsDecimal]:
    """Yield both; they are rare where no dial invites them."""
    dials = {
        control.positions
        for control in (ground.board.controls[i] for i in ground.board.address_controls)
        if control.kind is ControlKind.DIAL
    }
    hex_factor = 1.0 if 16 in dials else WITHOUT_HEX_DIALS
    dial_factor = 1.0 if dials else WITHOUT_HEX_DIALS
    yield DecimalSetOnHex(COMMON[MistakeKind.DECIMAL_SET_ON_HEX] * hex_factor)
    yield HexReadAsDecimal(COMMON[MistakeKind.HEX_READ_AS_DECIMAL] * dial_factor)

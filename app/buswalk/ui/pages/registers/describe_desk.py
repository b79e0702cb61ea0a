"""Changes of a list: one point at a time, taken back with Ctrl+Z, kept as a profile of one's own. Plain Python."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from decimal import Decimal, InvalidOperation

from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS, Access, Point
from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.type_names import NAMED_TYPES, type_words
from buswalk.domain.registers.value_finder.meaning import Meaning
from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder
from buswalk.ui.pages.registers.registers_state import Chooser, DescribeState
from buswalk.ui.tones import Tone

MOST_UNDONE = 100
EVERY_DEVICE = -1
MOST_DECIMALS = 9
DECIMALS_OF_SCALES = 6
_NOT_IN_NAMES = re.compile(r"[^a-z0-9]+")


@dataclass(frozen=True, slots=True)
class PointForm:
    """A point as it was typed."""

    words: str
    kind: int
    scale: str
    offset: str
    unit: str
    decimals: str


@dataclass(frozen=True, slots=True)
class Edit:
    """A list before a change.

    Attributes:
        shown_for: Address of the device that was shown another list; EVERY_DEVICE for a change within a list.
        shift: How far that other list was moved for it.
    """

    profile: RegisterProfile
    what: str
    shown_for: int = EVERY_DEVICE
    shift: int = 0


def offered_types(point: Point) -> tuple[ValueType, ...]:
    """Return the types that can stand where a point stands, its own among them."""
    if point.table.holds_bits:
        return (point.value_type,)
    found = [point.value_type] if point.value_type.layout is Layout.TEXT else []
    for layout, bits in NAMED_TYPES.values():
        if layout is Layout.BIT or point.register_address + bits // 16 - 1 > LAST_REGISTER_ADDRESS:
            continue
        for words in WordOrder if bits > 16 else (WordOrder.HIGH_FIRST,):
            found += [ValueType(layout, bits, words, order) for order in ByteOrder]
    return tuple(found)


class DescribeDesk:
    """Holds what can be taken back; the lists themselves are held by who shows them."""

    def __init__(self) -> None:
        self._edits: list[Edit] = []
        self._told, self._tone = "", Tone.INK2

    def change(self, profile: RegisterProfile, point: Point, form: PointForm) -> RegisterProfile:
        """Return the list with the point as it was typed; the same list, and why, where that cannot be."""
        try:
            changed = _changed(point, form)
        except ValueError as reason:
            self.tell(f"Not changed: {reason}.", Tone.DOUBT)
            return profile
        if changed == point:
            return profile
        points = tuple(changed if one.name == point.name else one for one in profile.points)
        return self._keep(profile, replace(profile, points=points), f"{point.words or point.name} changed")

    def add(self, profile: RegisterProfile, meaning: Meaning, words: str) -> RegisterProfile:
        """Return the list with a meaning that was found; in place of a point that stands there alone."""
        name = _free_name(profile, words)
        scale = meaning.scaling.scale
        exponent = scale.as_tuple().exponent
        decimals = 1 if meaning.value_type.layout is Layout.FLOAT else 0
        if isinstance(exponent, int) and exponent < 0 and meaning.value_type.layout is not Layout.FLOAT:
            decimals = min(-exponent, DECIMALS_OF_SCALES)
        point = Point(
            name=name,
            table=meaning.table,
            register_address=meaning.register_address,
            value_type=meaning.value_type,
            words=words.strip() or name,
            scale=scale,
            offset=meaning.scaling.offset,
            decimals=decimals,
            access=Access.READ,
        )
        changed = replace(profile, points=(*profile.points, point))
        return self._keep(profile, changed, f"{point.words} taken into the list")

    def change_list(self, before: Edit) -> None:
        """Remember that a device was shown by another list."""
        self._edits = [*self._edits[-MOST_UNDONE:], before]
        self.tell(f"{before.what[0].upper()}{before.what[1:]}. It is not kept yet: 'Keep as own profile' does.")

    def undo(self) -> Edit | None:
        """Return the list before the last change; None if there was none."""
        if not self._edits:
            self.tell("There is no change to take back. A write is never taken back so.", Tone.INK2)
            return None
        edit = self._edits.pop()
        self.tell(f"Taken back: {edit.what}.")
        return edit

    def tell(self, words: str, tone: Tone = Tone.INK2) -> None:
        """Say what came of something."""
        self._told, self._tone = words, tone

    def _keep(self, before: RegisterProfile, after: RegisterProfile, what: str) -> RegisterProfile:
        self._edits = [*self._edits[-MOST_UNDONE:], Edit(before, what)]
        self.tell(f"{what[0].upper()}{what[1:]}. It is not kept yet.")
        return after

    def state(self, profile: RegisterProfile | None, point: Point | None) -> DescribeState:
        """Return the form for a point."""
        undo = self._edits[-1].what if self._edits else ""
        if profile is None or point is None:
            why = "Choose a point, and a profile that describes it: raw addresses have no description to change."
            return DescribeState(refusal=why, told=self._told, tone=self._tone, undo=undo)
        types = offered_types(point)
        chosen = types.index(point.value_type) if point.value_type in types else 0
        return DescribeState(
            title=f"{point.words or point.name}, as the list describes it",
            words=point.words or point.name,
            types=Chooser(tuple(type_words(one) for one in types), chosen),
            scale=f"{point.scale:f}",
            offset=f"{point.offset:f}",
            unit=point.unit,
            decimals=str(point.decimals),
            own_name=profile.name if profile.name.startswith("own-") else f"own-{profile.name}",
            told=self._told,
            tone=self._tone,
            undo=undo,
        )


def _changed(point: Point, form: PointForm) -> Point:
    types = offered_types(point)
    kind = types[form.kind] if 0 <= form.kind < len(types) else point.value_type
    words = form.words.strip()
    if not words:
        raise ValueError("a point needs a name")
    decimals = form.decimals.strip()
    if not (decimals.isdigit() and int(decimals) <= MOST_DECIMALS):
        raise ValueError(f"decimals are 0 to {MOST_DECIMALS}")
    is_same_kind = kind == point.value_type
    return replace(
        point,
        words=words,
        value_type=kind,
        scale=_decimal("the scale", form.scale),
        offset=_decimal("the offset", form.offset),
        unit=form.unit.strip(),
        decimals=int(decimals),
        sentinels=point.sentinels if is_same_kind else (),
    )


def _decimal(what: str, text: str) -> Decimal:
    try:
        number = Decimal(text.strip().replace(",", ".").replace("−", "-"))
    except InvalidOperation:
        number = Decimal("nan")
    if not number.is_finite():
        raise ValueError(f"{what} '{text}' is no number")
    return number


def _free_name(profile: RegisterProfile, words: str) -> str:
    plain = _NOT_IN_NAMES.sub("_", words.strip().casefold()).strip("_") or "found_value"
    if not plain[0].isalpha():
        plain = f"value_{plain}"
    taken = {one.name for one in profile.points}
    number = 2
    name = plain
    while name in taken:
        name = f"{plain}_{number}"
        number += 1
    return name

"""Where a value is written from the page, and what a person types for it. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.point import Access, Point
from buswalk.domain.registers.value_type import Layout
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace
from buswalk.ui.pages.registers.point_words import TABLE_WORDS, range_words
from buswalk.ui.wording import MINUS


@dataclass(frozen=True, slots=True)
class WriteTarget:
    """The focused point of a device.

    Attributes:
        words: As last read; empty for not read.
        known: The addresses of all devices that are known on this line.
    """

    server_address: int
    settings: SerialSettings
    point: Point
    is_raw: bool
    words: tuple[int, ...]
    minimum_gap_s: float = 0.0
    wait_s: float = 1.0
    known: tuple[int, ...] = ()


def place_of(target: WriteTarget) -> KnownPlace | RawPlace:
    """Return where a point is written; without a profile nothing is known of it."""
    if target.is_raw:
        return RawPlace(target.point.table, target.point.register_address, target.point.value_type.words)
    return KnownPlace(target.point)


def as_it_is(target: WriteTarget) -> IntendedWrite:
    """Return the write of what stands there, to ask what would speak against any."""
    words = target.words or (0,) * target.point.value_type.words
    return IntendedWrite(target.server_address, target.settings, place_of(target), words)


def refusal_words(target: WriteTarget) -> str:
    """Return why nothing can be written to the point; empty if it can."""
    point = target.point
    if not point.table.can_be_written:
        return f"{TABLE_WORDS[point.table]} cannot be written: the standard has no function for it."
    if point.access is Access.READ:
        return "The list says that this point is only read."
    return ""


def typed_value(point: Point, text: str) -> str:
    """Return a typed value as conversion takes it: a comma or a true minus as people type them, a unit left away."""
    said = text.strip()
    if point.value_type.layout is Layout.TEXT:
        return said
    if point.unit and said.endswith(point.unit):
        said = said[: -len(point.unit)].strip()
    if any(one.words.casefold() == said.casefold() for one in point.named):
        return said
    said = said.replace(MINUS, "-")
    return said.replace(",", ".") if said.count(",") == 1 and "." not in said else said


def hint_words(point: Point) -> str:
    """Return what can be typed."""
    if point.named:
        return " or ".join(one.words for one in point.named[:4])
    if point.value_type.layout is Layout.BIT:
        return "on or off"
    return range_words(point) or (f"in {point.unit}" if point.unit else "a number")


def with_minus(words: str) -> str:
    """Return words with a true minus at their head."""
    return f"{MINUS}{words[1:]}" if words[:1] == "-" else words

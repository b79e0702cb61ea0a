"""Writes a register profile into a file of the user's own, so that it reads back as the same profile."""

from __future__ import annotations

import os
import re
from collections.abc import Iterable
from decimal import Decimal
from pathlib import Path
from typing import Any

import tomli_w

from buswalk.domain.registers.loss_timer import IsOff, LossTimer, NotTold, RunsFor, require_timer_point
from buswalk.domain.registers.notations import Notation, RegisterPlace, written
from buswalk.domain.registers.point import Access, Between, BitField, NamedValue, Point, Sets, WriteType
from buswalk.domain.registers.profile import AnswersWith, Block, HoldsWords, ReadRules, RegisterProfile
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.type_names import TEXT_NAME, type_name
from buswalk.domain.registers.value_type import ByteOrder, WordOrder

_NAME = re.compile(r"[a-z0-9][a-z0-9_-]*")


class CannotKeepProfile(Exception):
    """A profile that cannot be kept.

    Attributes:
        sentence: What, where, what to do.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def save_profile(folder: Path, profile: RegisterProfile) -> Path:
    """Write a profile under its name, in place of the user's profile of that name; return the file.

    Raises:
        CannotKeepProfile: The name is no file's name, or the folder cannot be written.
    """
    if _NAME.fullmatch(profile.name) is None:
        raise CannotKeepProfile(f"profile name '{profile.name}' cannot be: write small letters, digits, - and _")
    path = folder / f"{profile.name}.toml"
    beside = path.with_name(f"{path.name}.{os.getpid()}")
    try:
        folder.mkdir(parents=True, exist_ok=True)
        # Written beside and moved: a power cut leaves the old file or the new one, never half of it.
        beside.write_text(profile_text(profile), encoding="utf-8")
        beside.replace(path)
    except OSError as reason:
        why = (reason.strerror or "refused by the system").lower()
        raise CannotKeepProfile(f"{path} cannot be written ({why}): choose another folder") from reason
    return path


def profile_text(profile: RegisterProfile, notation: Notation = Notation.REGISTER_ADDRESS) -> str:
    """Return a profile as TOML, its addresses in one notation.

    Raises:
        ValueError: The notation does not reach an address.
    """
    values: dict[str, Any] = {"title": profile.title}
    if profile.notes:
        values["notes"] = profile.notes
    values["addresses"] = notation.value
    reading = _reading(profile.rules, notation)
    if reading:
        values["reading"] = reading
    if profile.fingerprint:
        values["fingerprint"] = _fingerprint(profile, notation)
    timer = _loss_timer(profile)
    if timer:
        values["loss_timer"] = timer
    values["point"] = [_point(one, notation) for one in profile.points]
    return tomli_w.dumps(values, multiline_strings="\n" in profile.notes)


def _loss_timer(profile: RegisterProfile) -> dict[str, Any]:
    timer = profile.loss_timer
    if not isinstance(timer, LossTimer):
        return {}
    values: dict[str, Any] = {"reaction": timer.reaction}
    match timer.delivered:
        case RunsFor(seconds):
            values["seconds"] = int(seconds) if seconds.is_integer() else seconds
        case IsOff():
            values["seconds"] = 0
        case NotTold():
            pass
    if timer.point and _tells_a_time(profile, timer.point):
        values["point"] = timer.point
    # A point that was described anew may tell no time any more: what is left must read back.
    return values if len(values) > 1 else {}


def _tells_a_time(profile: RegisterProfile, name: str) -> bool:
    try:
        require_timer_point(profile.point(name))
    except (KeyError, ValueError):
        return False
    return True


def _reading(rules: ReadRules, notation: Notation) -> dict[str, Any]:
    values: dict[str, Any] = {}
    usual = ReadRules()
    if rules.blocks:
        values["blocks"] = [_block(one, notation) for one in rules.blocks]
    if rules.largest_quantity != usual.largest_quantity:
        values["largest_quantity"] = rules.largest_quantity
    if rules.largest_bit_quantity != usual.largest_bit_quantity:
        values["largest_bit_quantity"] = rules.largest_bit_quantity
    if rules.minimum_gap_s != usual.minimum_gap_s:
        values["minimum_gap_s"] = rules.minimum_gap_s
    return values


def _block(block: Block, notation: Notation) -> dict[str, Any]:
    first, last = (_place(block.table, one, notation) for one in (block.first, block.last))
    return {"table": block.table.value, "first": first, "last": last}


def _fingerprint(profile: RegisterProfile, notation: Notation) -> dict[str, Any]:
    values: dict[str, Any] = {}
    tells = [one.text for one in profile.fingerprint if isinstance(one, AnswersWith)]
    holds = [one for one in profile.fingerprint if isinstance(one, HoldsWords)]
    if tells:
        values["tells"] = tells
    if holds:
        values["holds"] = [
            {"table": one.table.value, "at": _place(one.table, one.register_address, notation), "words": [*one.words]}
            for one in holds
        ]
    return values


def _point(point: Point, notation: Notation) -> dict[str, Any]:
    kind = point.value_type
    between = point.range
    said: list[tuple[str, Any, bool]] = [
        ("words", point.words, bool(point.words)),
        ("table", point.table.value, True),
        ("at", _place(point.table, point.register_address, notation), True),
        ("type", type_name(kind), True),
        ("registers", kind.words, type_name(kind) == TEXT_NAME),
        ("word_order", kind.word_order.value, kind.word_order is not WordOrder.HIGH_FIRST),
        ("byte_order", kind.byte_order.value, kind.byte_order is not ByteOrder.STANDARD),
        ("scale", _number(point.scale), point.scale != 1),
        ("offset", _number(point.offset), bool(point.offset)),
        ("unit", point.unit, bool(point.unit)),
        ("range", _range(between) if isinstance(between, Between) else [], isinstance(between, Between)),
        ("decimals", point.decimals, bool(point.decimals) or point.is_shown_whole),
        ("no_value", list(point.sentinels), bool(point.sentinels)),
        ("values", _named(point.named), bool(point.named)),
        ("bits", [_bits(one) for one in point.bit_fields], bool(point.bit_fields)),
        ("access", point.access.value, point.access is not Access.READ),
        ("write_type", point.write_type.value, point.write_type is not WriteType.RAM),
        ("clears_on_read", point.clears_on_read, point.clears_on_read),
        ("sets", point.sets.value, point.sets is not Sets.NOTHING),
        ("caution", point.caution, bool(point.caution)),
        ("notes", point.notes, bool(point.notes)),
    ]
    return {"name": point.name} | {key: value for key, value, is_said in said if is_said}


def _bits(field: BitField) -> dict[str, Any]:
    values: dict[str, Any] = {"name": field.name, "first_bit": field.first_bit}
    if field.width != 1:
        values["width"] = field.width
    return values | ({"values": _named(field.named)} if field.named else {})


def _named(named: Iterable[NamedValue]) -> dict[str, str]:
    return {str(one.raw): one.words for one in named}


def _range(between: Between) -> list[int | float]:
    return [_number(between.low), _number(between.high)]


def _number(number: Decimal) -> int | float:
    return int(number) if number == number.to_integral_value() else float(number)


def _place(table: Table, register_address: int, notation: Notation) -> int | str:
    text = written(RegisterPlace(table, register_address), notation)
    return int(text) if notation in (Notation.REGISTER_ADDRESS, Notation.REGISTER_NUMBER) else text

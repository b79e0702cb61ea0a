"""Where `write` goes and what it says there: options turned into a place and its words."""

from __future__ import annotations

import argparse
from decimal import Decimal, InvalidOperation

from buswalk.cli.number_options import ChoiceOption, WholeOption, WordsOption
from buswalk.cli.parts import ProfileParts, WrongUse
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.conversion import NotRepresentable, words_for
from buswalk.domain.registers.point import Access, Point, WriteType
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import ByteOrder, Layout, ValueType, WordOrder
from buswalk.domain.registers.writing.intended import IntendedWrite, KnownPlace, RawPlace, WritePlace

TABLES = {"holding": Table.HOLDING_REGISTERS, "coils": Table.COILS}
TYPES = {
    "uint16": (Layout.UNSIGNED, 16),
    "int16": (Layout.SIGNED, 16),
    "uint32": (Layout.UNSIGNED, 32),
    "int32": (Layout.SIGNED, 32),
    "uint64": (Layout.UNSIGNED, 64),
    "int64": (Layout.SIGNED, 64),
    "float32": (Layout.FLOAT, 32),
    "float64": (Layout.FLOAT, 64),
    "bcd16": (Layout.BCD, 16),
    "bcd32": (Layout.BCD, 32),
}
ORDERS = {"high-first": WordOrder.HIGH_FIRST, "low-first": WordOrder.LOW_FIRST}
MEMORIES = {one.value: one for one in WriteType}


def add_target_options(parser: argparse.ArgumentParser) -> None:
    """Add where it goes."""
    group = parser.add_argument_group("where it goes, and what it means there")
    register = WholeOption("--register", 0, 0xFFFF)
    group.add_argument("--profile", metavar="NAME", help="register profile of the device, by name or file")
    group.add_argument("--point", metavar="NAME", help="which point of the profile")
    group.add_argument("--register", type=register, help="first register or coil, 0 to 65535, as sent (from 0)")
    group.add_argument(
        "--table",
        type=ChoiceOption("--table", tuple(TABLES)),
        default="holding",
        metavar="{" + ",".join(TABLES) + "}",
        help="holding registers (if not given) or coils",
    )
    group.add_argument(
        "--type",
        type=ChoiceOption("--type", tuple(TYPES)),
        metavar="{" + ",".join(TYPES) + "}",
        help="what the value is; not given: words as they are, such as 215 or 0x41AC,0x0000, or on and off",
    )
    group.add_argument(
        "--word-order",
        type=ChoiceOption("--word-order", tuple(ORDERS)),
        default="high-first",
        metavar="{" + ",".join(ORDERS) + "}",
        help="of a value of several words: high word first (if not given) or low word first",
    )
    group.add_argument("--bytes-exchanged", action="store_true", help="low byte of each word first")
    group.add_argument("--scale", default="1", help="value = number sent times this, such as 0.1")
    group.add_argument("--unit", default="", help="such as °C, for what is shown")
    group.add_argument(
        "--memory",
        type=ChoiceOption("--memory", tuple(MEMORIES)),
        default=WriteType.RAM.value,
        metavar="{" + ",".join(MEMORIES) + "}",
        help="where the value is kept: eeprom wears with each write, trigger starts something; ram if not given",
    )


def intended_of(arguments: argparse.Namespace, settings: SerialSettings, profiles: ProfileParts) -> IntendedWrite:
    """Return what is to be written where.

    Raises:
        WrongUse: An option is missing, or the value cannot stand there.
    """
    try:
        if arguments.profile is None and arguments.point is None and arguments.type is None:
            words = WordsOption("the value")(arguments.value)
            place: WritePlace = RawPlace(TABLES[arguments.table], _register_of(arguments), len(words))
        else:
            point = _point_of(arguments, profiles)
            words, place = words_for(point, _value_of(arguments.value)), KnownPlace(point)
        return IntendedWrite(arguments.address, settings, place, words)
    except NotRepresentable as reason:
        raise WrongUse(f"the value cannot be written so: {reason.sentence}") from reason
    except ValueError as reason:
        raise WrongUse(f"this cannot be written: {reason}") from reason


def _register_of(arguments: argparse.Namespace) -> int:
    if arguments.register is None:
        raise WrongUse("where to write is missing: write --profile and --point, or --register, such as --register 40")
    return int(arguments.register)


def _point_of(arguments: argparse.Namespace, profiles: ProfileParts) -> Point:
    if arguments.profile is None and arguments.point is None:
        return _described_point(arguments)
    if arguments.profile is None or arguments.point is None or arguments.register is not None:
        raise WrongUse("a point is named by --profile and --point together, without --register")
    profile = profiles.named(arguments.profile)
    try:
        return profile.point(arguments.point)
    except KeyError as reason:
        writable = ", ".join(one.name for one in profile.points if one.access is not Access.READ)
        known = f"write one of {writable}" if writable else "it has none that can be written"
        raise WrongUse(f"profile {profile.name} has no point '{arguments.point}': {known}") from reason


def _described_point(arguments: argparse.Namespace) -> Point:
    layout, bits = TYPES[arguments.type]
    byte_order = ByteOrder.EXCHANGED if arguments.bytes_exchanged else ByteOrder.STANDARD
    scale = _scale_of(arguments.scale)
    exponent = scale.as_tuple().exponent
    return Point(
        name=f"register_{_register_of(arguments)}",
        table=TABLES[arguments.table],
        register_address=arguments.register,
        value_type=ValueType(layout, bits, ORDERS[arguments.word_order], byte_order),
        scale=scale,
        unit=arguments.unit,
        decimals=max(0, -exponent) if isinstance(exponent, int) else 0,
        access=Access.READ_WRITE,
        write_type=MEMORIES[arguments.memory],
    )


def _scale_of(text: str) -> Decimal:
    try:
        scale = Decimal(text)
    except InvalidOperation:
        scale = Decimal(0)
    if not scale.is_finite() or not scale:
        raise WrongUse(f"--scale '{text}' cannot be: write a number such as 0.1")
    return scale


def _value_of(text: str) -> Decimal | str:
    try:
        return Decimal(text)
    except InvalidOperation:
        return text

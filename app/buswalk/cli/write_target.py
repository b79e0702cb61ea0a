"""Where `write` goes and what it says there: options turned into a place and its words."""

from __future__ import annotations

import argparse
from decimal import Decimal, InvalidOperation

from buswalk.cli.number_options import ChoiceOption, WholeOption, WordsOption
from buswalk.cli.parts import WrongUse
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


def intended_of(arguments: argparse.Namespace, server_address: int, settings: SerialSettings) -> IntendedWrite:
    """Return what is to be written where.

    Raises:
        WrongUse: An option is missing, or the value cannot stand there.
    """
    if arguments.register is None:
        raise WrongUse("where to write is missing: write --register, such as --register 40")
    try:
        if arguments.type is None:
            words = WordsOption("the value")(arguments.value)
            place: WritePlace = RawPlace(TABLES[arguments.table], arguments.register, len(words))
        else:
            point = _point_of(arguments)
            words, place = words_for(point, _value_of(arguments.value)), KnownPlace(point)
        return IntendedWrite(server_address, settings, place, words)
    except NotRepresentable as reason:
        raise WrongUse(f"the value cannot be written so: {reason.sentence}") from reason
    except ValueError as reason:
        raise WrongUse(f"this cannot be written: {reason}") from reason


def _point_of(arguments: argparse.Namespace) -> Point:
    layout, bits = TYPES[arguments.type]
    byte_order = ByteOrder.EXCHANGED if arguments.bytes_exchanged else ByteOrder.STANDARD
    scale = _scale_of(arguments.scale)
    exponent = scale.as_tuple().exponent
    return Point(
        name=f"register_{arguments.register}",
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

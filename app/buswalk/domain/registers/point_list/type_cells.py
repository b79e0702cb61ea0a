"""What stands in the other columns: types with orders, factors, ranges, access, texts for numbers."""

from __future__ import annotations

import re
from decimal import Decimal
from functools import lru_cache

from buswalk.domain.registers.point import Access, Between, NamedValue
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value_type import BIT, ByteOrder, Layout, ValueType, WordOrder

CELLS_KEPT = 512
"""A column says the same few things in thousands of rows: each is worked out once."""
_SPACES = re.compile(r"[\s_\-]+")
_WIDTH = re.compile(r"(\d{1,3})")
_LAYOUTS: tuple[tuple[str, Layout, int], ...] = (
    (r"bool(?:ean)?|bit|binary|digital|flag|coil", Layout.BIT, 1),
    (r"real|single", Layout.FLOAT, 32),
    (r"l?real64|double|lreal", Layout.FLOAT, 64),
    (r"float|flt|fp|ieee\s?754|f", Layout.FLOAT, 32),
    (r"udint|dword|ulong|unsigned long|uint32|u32", Layout.UNSIGNED, 32),
    (r"dint|long|signed long", Layout.SIGNED, 32),
    (r"ulint|qword|lword", Layout.UNSIGNED, 64),
    (r"lint", Layout.SIGNED, 64),
    (r"bcd", Layout.BCD, 16),
    (r"(?:sign(?:ed)?[ +]?(?:and )?magnitude|sm)", Layout.SIGN_MAGNITUDE, 16),
    (r"string|text|char|ascii|str", Layout.TEXT, 0),
    (r"unix ?time|timestamp|time|date ?time|epoch", Layout.TIME, 32),
    (r"u(?:nsigned)?\s?(?:int(?:eger)?|short)?|word|uint|ushort|enum|bitfield|bitmap", Layout.UNSIGNED, 16),
    (r"s(?:igned)?\s?(?:int(?:eger)?)?|int(?:eger)?|short|i", Layout.SIGNED, 16),
)
_ORDERS: tuple[tuple[str, WordOrder, ByteOrder], ...] = (
    (
        r"low word first|lo[- ]?hi|word ?swap(?:ped)?|cdab|little.endian word|ls?w first|swapped",
        WordOrder.LOW_FIRST,
        ByteOrder.STANDARD,
    ),
    (r"bytes? (?:swap(?:ped)?|exchanged)|badc", WordOrder.HIGH_FIRST, ByteOrder.EXCHANGED),
    (r"little.?endian|dcba|\ble\b", WordOrder.LOW_FIRST, ByteOrder.EXCHANGED),
    (r"high word first|hi[- ]?lo|big.?endian|abcd|\bbe\b|ms?w first", WordOrder.HIGH_FIRST, ByteOrder.STANDARD),
)
_NUMBER = r"[+\-−]?\d+(?:[.,]\d+)?(?:[eE][+\-]?\d+)?"
_DECIMAL = re.compile(_NUMBER)
_FRACTION = re.compile(rf"({_NUMBER})\s*/\s*({_NUMBER})")
_RANGE = re.compile(rf"\s*[\[(]?\s*({_NUMBER})\s*(?:\.\.\.?|…|–|to|bis|-|/|;|~)\s*({_NUMBER})\s*[\])]?.*")
_TABLES: tuple[tuple[str, Table], ...] = (
    (r"\b(?:hold(?:ing)?|hr|4x|output registers?)\b|^[34]:?$", Table.HOLDING_REGISTERS),
    (r"\b(?:input register|ir|3x|analog(?:ue)? input)", Table.INPUT_REGISTERS),
    (r"\b(?:discrete|di|1x|input status|digital input|contact)", Table.DISCRETE_INPUTS),
    (r"\b(?:coil|co|do|0x|digital output)", Table.COILS),
    (r"\binput", Table.INPUT_REGISTERS),
)
_BY_FUNCTION = {one.read_function: one for one in Table}
_WRITING = {0x05: Table.COILS, 0x0F: Table.COILS, 0x06: Table.HOLDING_REGISTERS, 0x10: Table.HOLDING_REGISTERS}


def decimal_of(text: str) -> Decimal:
    """Return a number with a decimal point or comma; '1.234,5' and '1,234.5' are told apart by what comes last.

    Raises:
        ValueError: It is no number.
    """
    plain = re.sub(r"[\s\u00a0\u202f']", "", text).replace("−", "-")
    if "," in plain and "." in plain:
        group = "," if plain.rfind(",") < plain.rfind(".") else "."
        plain = plain.replace(group, "")
    if not _DECIMAL.fullmatch(plain):
        raise ValueError(f"'{text.strip()}' is no number: write such as 0.1")
    return Decimal(plain.replace(",", "."))


@lru_cache(maxsize=CELLS_KEPT)
def scale_of(text: str) -> Decimal:
    """Return a factor: 0.1, x0.1, 1/10, /10, ÷10, 10^-1; an empty cell means 1.

    Raises:
        ValueError: It is no factor.
    """
    plain = text.strip().casefold()
    if plain in ("", "-", "–", "none", "n/a"):
        return Decimal(1)
    plain = plain.lstrip("x×*").strip()
    if plain[0] in "/÷":
        return _quotient(Decimal(1), plain[1:], text)
    if matched := _FRACTION.fullmatch(plain):
        return _quotient(decimal_of(matched.group(1)), matched.group(2), text)
    if matched := re.fullmatch(r"10\s*(?:\^|\*\*|e)\s*([+\-−]?\d)", plain):
        return Decimal(10) ** int(matched.group(1).replace("−", "-"))
    matched_unit = re.match(_NUMBER, plain)
    scale = decimal_of(matched_unit.group(0) if matched_unit else plain)
    if not scale:
        raise ValueError(f"a scale of '{text.strip()}' leaves nothing of the value: write such as 0.1")
    return scale


def _quotient(dividend: Decimal, divisor: str, text: str) -> Decimal:
    value = decimal_of(divisor)
    if not value:
        raise ValueError(f"scale '{text.strip()}' divides by nothing: write such as 0.1")
    return dividend / value


@lru_cache(maxsize=CELLS_KEPT)
def range_of(text: str) -> Between:
    """Return a range written in one cell: 0..100, -40 to 125, 0-100 %.

    Raises:
        ValueError: It is none.
    """
    matched = _RANGE.fullmatch(text.replace("−", "-"))
    if matched is None:
        raise ValueError(f"range '{text.strip()}' cannot be read: write such as 0..100")
    return Between(decimal_of(matched.group(1)), decimal_of(matched.group(2)))


@lru_cache(maxsize=CELLS_KEPT)
def access_of(text: str) -> Access:
    """Return what may be done: R, RO, RW, R/W, W, read only, read/write; an empty cell means read.

    Raises:
        ValueError: It is none of these.
    """
    plain = re.sub(r"[^a-z]", "", text.casefold())
    if plain in ("", "r", "ro", "read", "readonly", "l", "lesen"):
        return Access.READ
    if plain in ("rw", "wr", "readwrite", "rdwr", "lesenschreiben", "readandwrite"):
        return Access.READ_WRITE
    if plain in ("w", "wo", "write", "writeonly"):
        return Access.WRITE
    raise ValueError(f"access '{text.strip()}' cannot be read: write R, RW or W")


@lru_cache(maxsize=CELLS_KEPT)
def table_of(text: str) -> Table:
    """Return a table by the words of the trade.

    Raises:
        ValueError: It names none.
    """
    plain = text.strip().casefold()
    for pattern, table in _TABLES:
        if re.search(pattern, plain):
            return table
    raise ValueError(f"table '{text.strip()}' is none of coils, discrete inputs, input registers, holding registers")


@lru_cache(maxsize=CELLS_KEPT)
def table_of_function(text: str) -> Table:
    """Return the table that a function code reads or writes; the first of several counts.

    Raises:
        ValueError: It is none that reads or writes a table.
    """
    for digits in re.findall(r"\d{1,2}", text):
        table = _BY_FUNCTION.get(int(digits)) or _WRITING.get(int(digits, 16)) or _WRITING.get(int(digits))
        if table is not None:
            return table
    raise ValueError(f"function '{text.strip()}' reads and writes none of the four tables")


@lru_cache(maxsize=CELLS_KEPT)
def type_of(text: str, order: str, registers: int) -> ValueType:
    """Return a type by its name, the order written with it or beside it, and how many registers it takes (0: not said).

    Raises:
        ValueError: It is none that is known, or the number of registers is not its.
    """
    word_order, byte_order = _order_of(f"{text} {order}")
    plain = text.casefold()
    for pattern, _, _ in _ORDERS:
        plain = re.sub(pattern, " ", plain)
    plain = _SPACES.sub(" ", re.sub(r"[()\[\],;]", " ", plain)).strip()
    width = int(matched.group(1)) if (matched := _WIDTH.search(plain.replace("754", ""))) else 0
    name = _WIDTH.sub("", plain.replace("754", "")).strip()
    for pattern, layout, usual in _LAYOUTS:
        if re.fullmatch(pattern, name) or re.fullmatch(pattern, plain):
            bits = _bits(layout, width, usual, registers)
            if bits <= 16 or layout is Layout.TEXT:
                word_order = WordOrder.HIGH_FIRST
            return BIT if layout is Layout.BIT else ValueType(layout, bits, word_order, byte_order)
    raise ValueError(f"type '{text.strip()}' is not known: write such as uint16, int32 or float32")


def _bits(layout: Layout, width: int, usual: int, registers: int) -> int:
    if layout is Layout.BIT:
        return 1
    if layout is Layout.TEXT:
        return 16 * (registers or -(-width // 2) or 1)
    bits = width if width >= 16 else 16 * registers or usual
    if registers and bits != 16 * registers:
        raise ValueError(f"{bits} bits do not fill {registers} registers: write the type or the registers anew")
    return bits


def _order_of(text: str) -> tuple[WordOrder, ByteOrder]:
    for pattern, words, order in _ORDERS:
        if re.search(pattern, text.casefold()):
            return words, order
    return WordOrder.HIGH_FIRST, ByteOrder.STANDARD


@lru_cache(maxsize=CELLS_KEPT)
def named_values_of(text: str) -> tuple[NamedValue, ...]:
    """Return words for raw values: '0 = off, 1 = on' or '0: off; 1: on'; what is no such pair is passed over."""
    pairs = re.findall(r"(0x[0-9a-fA-F]+|\d+)\s*[=:]\s*([^,;|\n=:]+?)\s*(?=[,;|\n]|$|\s+\d+\s*[=:])", text)
    return tuple(NamedValue(int(raw, 0), words.strip()) for raw, words in pairs)


@lru_cache(maxsize=CELLS_KEPT)
def sentinels_of(text: str) -> tuple[int, ...]:
    """Return raw values that mean 'no value', decimal or hex.

    Raises:
        ValueError: One is no whole number.
    """
    values = []
    for one in re.split(r"[,;\s]+", text.strip()):
        if not one:
            continue
        matched = re.fullmatch(r"(?:0[xX])([0-9a-fA-F]+)|([0-9a-fA-F]+)[hH]|(\d+)", one)
        if matched is None:
            raise ValueError(f"'{one}' is no raw value: write such as 0x8000")
        values.append(int(matched.group(1) or matched.group(2), 16) if matched.group(3) is None else int(one))
    return tuple(values)

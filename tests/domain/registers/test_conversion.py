"""Values from words and back, against hand-written tables, Python's struct, numpy, pymodbus and pysunspec2."""

from __future__ import annotations

import struct
from decimal import Decimal

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from pymodbus.client.mixin import ModbusClientMixin
from sunspec2 import mb as sunspec  # type: ignore[import-untyped]

from buswalk.domain.registers.conversion import NotRepresentable, WhyNotRepresentable, raw_of, value_of, words_for
from buswalk.domain.registers.point import NamedValue, Point
from buswalk.domain.registers.tables import Table
from buswalk.domain.registers.value import BitValue, NoValue, NumberValue, TextValue, TimeValue, WhyNoValue
from buswalk.domain.registers.value_type import BIT, INT16, UINT16, ByteOrder, Layout, ValueType, WordOrder

HIGH, LOW = WordOrder.HIGH_FIRST, WordOrder.LOW_FIRST
PLAIN, EXCHANGED = ByteOrder.STANDARD, ByteOrder.EXCHANGED
ORDERS = [(HIGH, PLAIN), (LOW, PLAIN), (HIGH, EXCHANGED), (LOW, EXCHANGED)]
FLOAT32 = ValueType(Layout.FLOAT, 32)


def point_of(value_type: ValueType, scale: str = "1", offset: str = "0", sentinels: tuple[int, ...] = ()) -> Point:
    """A point in the table its type belongs to."""
    table = Table.COILS if value_type.layout is Layout.BIT else Table.HOLDING_REGISTERS
    return Point("seen", table, 0, value_type, scale=Decimal(scale), offset=Decimal(offset), sentinels=sentinels)


def number(point: Point, *words: int) -> Decimal:
    value = value_of(point, words)
    assert isinstance(value, NumberValue)
    return value.value


def spelled(text: str) -> tuple[int, ...]:
    """Words of bytes in hex."""
    data = bytes.fromhex(text)
    return struct.unpack(f">{len(data) // 2}H", data)


# By hand from IEEE 754 and the orders met in the field; columns as in ORDERS.
@pytest.mark.parametrize(
    ("layout", "said", "columns"),
    [
        (Layout.FLOAT, "123456", ("47F12000", "200047F1", "F1470020", "0020F147")),
        (Layout.FLOAT, "21.5", ("41AC0000", "000041AC", "AC410000", "0000AC41")),
        (Layout.FLOAT, "-1", ("BF800000", "0000BF80", "80BF0000", "000080BF")),
        (Layout.FLOAT, "0.1", ("3DCCCCCD", "CCCD3DCC", "CC3DCDCC", "CDCCCC3D")),
        (Layout.UNSIGNED, "305419896", ("12345678", "56781234", "34127856", "78563412")),
        (Layout.SIGNED, "100000", ("000186A0", "86A00001", "0100A086", "A0860100")),
        (Layout.SIGNED, "-2", ("FFFFFFFE", "FFFEFFFF", "FFFFFEFF", "FEFFFFFF")),
        (Layout.BCD, "123456", ("00123456", "34560012", "12005634", "56341200")),
        (Layout.SIGN_MAGNITUDE, "-100", ("80000064", "00648000", "00806400", "64000080")),
    ],
)
def test_four_orders_of_two_words(layout: Layout, said: str, columns: tuple[str, ...]) -> None:
    for (word_order, byte_order), words in zip(ORDERS, columns, strict=True):
        point = point_of(ValueType(layout, 32, word_order, byte_order))

        assert number(point, *spelled(words)) == Decimal(said)
        assert words_for(point, Decimal(said)) == spelled(words)


@pytest.mark.parametrize(
    ("value_type", "words", "said"),
    [
        (INT16, "FF9C", "-100"),
        (ValueType(Layout.SIGN_MAGNITUDE, 16), "8064", "-100"),
        (ValueType(Layout.BCD, 16), "1234", "1234"),
        (ValueType(Layout.UNSIGNED, 48), "0001 0000 0000", "4294967296"),
        (ValueType(Layout.SIGNED, 48, LOW), "FFFE FFFF FFFF", "-2"),
        (ValueType(Layout.UNSIGNED, 64), "FFFF FFFF FFFF FFFF", "18446744073709551615"),
        (ValueType(Layout.FLOAT, 16), "4D60", "21.5"),
        (ValueType(Layout.FLOAT, 64), "4035 8000 0000 0000", "21.5"),
        (ValueType(Layout.FLOAT, 32), "7F7F FFFF", "3.4028235E+38"),
        (ValueType(Layout.FLOAT, 32), "0080 0000", "1.1754944E-38"),
    ],
)
def test_other_widths(value_type: ValueType, words: str, said: str) -> None:
    """IEEE 754 limits, two's complement and digits, written by hand."""
    assert number(point_of(value_type), *spelled(words)) == Decimal(said)
    assert words_for(point_of(value_type), Decimal(said)) == spelled(words)


@pytest.mark.parametrize(
    ("raw", "scale", "offset", "shown"),
    [(214, "0.1", "0", "21.4"), (65436, "0.1", "0", "-10.0"), (3, "0.1", "0", "0.3"), (700, "0.1", "-40", "30.0")],
)
def test_scaling_leaves_no_dust(raw: int, scale: str, offset: str, shown: str) -> None:
    """3 * 0.1 is 0.30000000000000004 in binary floats."""
    point = point_of(INT16, scale, offset)

    assert str(number(point, raw)) == shown
    assert words_for(point, Decimal(shown)) == (raw,)


def test_a_float_is_shown_with_the_digits_it_has() -> None:
    """41AB3333 is 21.3999996185 as a double; its shortest decimal is 21.4."""
    assert str(number(point_of(FLOAT32), 0x41AB, 0x3333)) == "21.4"
    assert str(number(point_of(FLOAT32, "10"), 0x41AB, 0x3333)) == "214.0"
    assert str(number(point_of(FLOAT32), 0x42C8, 0x0000)) == "100"


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("7FC00000", WhyNoValue.NOT_A_NUMBER),
        ("FFC00001", WhyNoValue.NOT_A_NUMBER),
        ("7F800000", WhyNoValue.INFINITE),
        ("FF800000", WhyNoValue.INFINITE),
    ],
)
def test_what_is_no_number_is_no_value(words: str, why: WhyNoValue) -> None:
    """IEEE 754: the exponent of ones."""
    assert value_of(point_of(FLOAT32), spelled(words)) == NoValue(why)


def test_a_sentinel_is_no_value_whatever_the_order() -> None:
    """The list names 80000000; a device with the low word first sends 0000 8000."""
    point = point_of(ValueType(Layout.SIGNED, 32, LOW), sentinels=(0x80000000,))

    assert value_of(point, (0x0000, 0x8000)) == NoValue(WhyNoValue.SENTINEL)
    assert number(point, 0x8000, 0x0000) == 32768
    with pytest.raises(NotRepresentable) as told:
        words_for(point, Decimal(-(1 << 31)))
    assert told.value.why is WhyNotRepresentable.MEANS_NO_VALUE


def test_a_digit_above_nine_is_no_value() -> None:
    assert value_of(point_of(ValueType(Layout.BCD, 16)), (0x12A4,)) == NoValue(WhyNoValue.NOT_DECIMAL)


@pytest.mark.parametrize(
    ("order", "words", "text"),
    [
        ((HIGH, PLAIN), (0x2D31, 0x3233, 0x2E34, 0x3500), "-123.45"),
        ((HIGH, EXCHANGED), (0x312D, 0x3332, 0x342E, 0x0035), "-123.45"),
        ((HIGH, PLAIN), (0x4142, 0x2020, 0x2020, 0x2020), "AB"),
        ((HIGH, PLAIN), (0, 0, 0, 0), ""),
        ((HIGH, PLAIN), (0xC2B0, 0x4300, 0, 0), "°C"),  # UTF-8
        ((HIGH, PLAIN), (0xB043, 0x0000, 0, 0), "°C"),  # one character a byte
    ],
)
def test_texts(order: tuple[WordOrder, ByteOrder], words: tuple[int, ...], text: str) -> None:
    """Characters by their ASCII codes, two a word."""
    assert value_of(point_of(ValueType(Layout.TEXT, 64, *order)), words) == TextValue(text)


def test_time_stamps_count_from_1970_and_from_elsewhere_by_their_offset() -> None:
    """0x65920080 is 2024-01-01 00:00:00 UTC (`date -u -d @1704067200`); 2000-01-01 is second 946684800."""
    assert value_of(point_of(ValueType(Layout.TIME, 32)), (0x6592, 0x0080)) == TimeValue(1704067200)
    since_2000 = point_of(ValueType(Layout.TIME, 32), offset="946684800")
    assert value_of(since_2000, (0, 60)) == TimeValue(946684860)
    assert words_for(since_2000, Decimal(946684860)) == (0, 60)


def test_bits_and_enumerations_take_their_words() -> None:
    named = (NamedValue(0, "off"), NamedValue(1, "automatic"))
    mode = Point("mode", Table.HOLDING_REGISTERS, 0, named=named)
    pump = Point("pump", Table.COILS, 0, BIT, named=(NamedValue(1, "runs"),))

    assert value_of(mode, (1,)) == NumberValue(Decimal(1), Decimal(1), "automatic")
    assert words_for(mode, "Automatic") == (1,)
    assert value_of(pump, (1,)) == BitValue(is_on=True, named="runs")
    assert value_of(pump, (0,)) == BitValue(is_on=False)
    assert [words_for(pump, one) for one in (True, "off", "runs", Decimal(0))] == [(1,), (0,), (1,), (0,)]


@pytest.mark.parametrize(
    ("point", "value", "why", "says"),
    [
        (point_of(INT16, "0.1"), Decimal("21.45"), WhyNotRepresentable.BETWEEN_STEPS, "write 21.4 or 21.5"),
        (point_of(INT16, "0.5"), Decimal("21.3"), WhyNotRepresentable.BETWEEN_STEPS, "write 21.0 or 21.5"),
        (point_of(FLOAT32), Decimal(16777217), WhyNotRepresentable.BETWEEN_STEPS, "the nearest is 16777216"),
        (point_of(INT16, "0.1"), Decimal(4000), WhyNotRepresentable.OUT_OF_TYPE, "holds -3276.8 to 3276.7"),
        (point_of(UINT16), Decimal(-1), WhyNotRepresentable.OUT_OF_TYPE, "holds 0 to 65535"),
        (point_of(ValueType(Layout.BCD, 16)), Decimal(10000), WhyNotRepresentable.OUT_OF_TYPE, "holds 0 to 9999"),
        (point_of(FLOAT32), Decimal("1E39"), WhyNotRepresentable.OUT_OF_TYPE, "float of 32 bits"),
        (point_of(ValueType(Layout.FLOAT, 16)), Decimal(65520), WhyNotRepresentable.OUT_OF_TYPE, "float of 16 bits"),
        (point_of(ValueType(Layout.FLOAT, 64)), Decimal("1E400"), WhyNotRepresentable.OUT_OF_TYPE, "float of 64"),
        (point_of(UINT16), "warm", WhyNotRepresentable.WRONG_KIND, "warm is no value of seen"),
        (point_of(UINT16), Decimal("nan"), WhyNotRepresentable.WRONG_KIND, "no value of seen"),
        (point_of(UINT16), True, WhyNotRepresentable.WRONG_KIND, "not on or off"),
        (point_of(BIT), "open", WhyNotRepresentable.WRONG_KIND, "write on or off"),
        (point_of(ValueType(Layout.TEXT, 32)), "hall5", WhyNotRepresentable.OUT_OF_TYPE, "room for 4"),
        (point_of(ValueType(Layout.TEXT, 32)), "°C", WhyNotRepresentable.WRONG_KIND, "no plain letters"),
    ],
)
def test_what_no_words_hold_is_refused_in_words(
    point: Point, value: Decimal | str | bool, why: WhyNotRepresentable, says: str
) -> None:
    with pytest.raises(NotRepresentable) as told:
        words_for(point, value)

    assert told.value.why is why
    assert says in told.value.sentence


def test_the_wrong_count_of_words_is_a_mistake_of_ours() -> None:
    with pytest.raises(ValueError, match="2 words are needed, not 1"):
        value_of(point_of(FLOAT32), (1,))
    with pytest.raises(ValueError, match="a bit is 0 to 1"):
        value_of(point_of(BIT), (2,))


TYPES = [
    ValueType(layout, bits, *order)
    for layout in (Layout.UNSIGNED, Layout.SIGNED, Layout.SIGN_MAGNITUDE, Layout.FLOAT, Layout.BCD)
    for bits in (16, 32, 48, 64)
    if not (layout is Layout.FLOAT and bits == 48)
    for order in ORDERS
]
SCALES = st.sampled_from(["1", "0.1", "0.001", "10", "-1", "0.25", "0.0333", "3"])
OFFSETS = st.sampled_from(["0", "-40", "273.15", "0.05"])


@given(st.sampled_from(TYPES), st.lists(st.integers(0, 0xFFFF), min_size=4, max_size=4), SCALES, OFFSETS)
def test_what_was_read_can_be_written_back(value_type: ValueType, words: list[int], scale: str, offset: str) -> None:
    """But for the two zeros that floats and signs with amounts have, and floats beyond 80 digits of sum."""
    point = point_of(value_type, scale, offset)
    wire = tuple(words[: value_type.words])
    value = value_of(point, wire)
    assume(isinstance(value, NumberValue))
    assert isinstance(value, NumberValue)
    assume(value.raw == 0 or abs(value.raw.adjusted()) < 50)

    back = words_for(point, value.value)

    assert raw_of(value_type, back) == value.raw
    assert back == wire or value.raw == 0


@given(st.integers(0, 0xFFFFFFFF))
@example(0x00000001)  # the least of all
@example(0x4B800000)  # 2**24: its neighbours are nearer below than above
def test_floats_of_32_bits_read_as_numpy_says_them(pattern: int) -> None:
    """Oracle: numpy's own shortest digits."""
    seen = raw_of(FLOAT32, (pattern >> 16, pattern & 0xFFFF))
    peer = np.uint32(pattern).view(np.float32)
    assume(bool(np.isfinite(peer)))

    assert isinstance(seen, Decimal)
    assert seen == Decimal(np.format_float_scientific(peer, unique=True))


@pytest.mark.parametrize("bits", range(-126, 128))
def test_powers_of_two_too(bits: int) -> None:
    """At these the interval that reads back is lopsided."""
    peer = np.float32(2.0**bits)
    pattern = int(peer.view(np.uint32))

    assert np.float32(str(raw_of(FLOAT32, (pattern >> 16, pattern & 0xFFFF)))) == peer


PYMODBUS = [
    (ModbusClientMixin.DATATYPE.INT16, INT16),
    (ModbusClientMixin.DATATYPE.UINT16, UINT16),
    (ModbusClientMixin.DATATYPE.INT32, ValueType(Layout.SIGNED, 32)),
    (ModbusClientMixin.DATATYPE.UINT32, ValueType(Layout.UNSIGNED, 32)),
    (ModbusClientMixin.DATATYPE.INT64, ValueType(Layout.SIGNED, 64)),
    (ModbusClientMixin.DATATYPE.UINT64, ValueType(Layout.UNSIGNED, 64)),
    (ModbusClientMixin.DATATYPE.FLOAT32, FLOAT32),
    (ModbusClientMixin.DATATYPE.FLOAT64, ValueType(Layout.FLOAT, 64)),
]


@given(st.sampled_from(PYMODBUS), st.lists(st.integers(0, 0xFFFF), min_size=4, max_size=4), st.booleans())
def test_pymodbus_reads_the_same_in_the_orders_it_has(
    pair: tuple[ModbusClientMixin.DATATYPE, ValueType], words: list[int], low_first: bool
) -> None:
    """It has both word orders, not the exchanged bytes."""
    theirs, plain = pair
    wire = words[: plain.words]
    peer = ModbusClientMixin.convert_from_registers(wire, theirs, "little" if low_first else "big")

    ours = raw_of(ValueType(plain.layout, plain.bits, LOW if low_first else HIGH), wire)

    if isinstance(ours, NoValue):
        assert not np.isfinite(float(str(peer)))
    elif plain.layout is Layout.FLOAT:
        form = ">f" if plain.bits == 32 else ">d"
        assert struct.pack(form, float(ours)) == struct.pack(form, float(str(peer)) or 0.0)
    else:
        assert int(ours) == peer


@pytest.mark.parametrize(
    ("theirs", "value_type"),
    [
        ("int16", INT16),
        ("uint16", UINT16),
        ("int32", ValueType(Layout.SIGNED, 32)),
        ("uint32", ValueType(Layout.UNSIGNED, 32)),
        ("int64", ValueType(Layout.SIGNED, 64)),
        ("uint64", ValueType(Layout.UNSIGNED, 64)),
        ("float32", FLOAT32),
        ("float64", ValueType(Layout.FLOAT, 64)),
    ],
)
@given(seed=st.binary(min_size=8, max_size=8))
def test_a_package_for_self_describing_devices_reads_the_same(theirs: str, value_type: ValueType, seed: bytes) -> None:
    """Oracle: pysunspec2; what it calls unimplemented is no value by our sentinel."""
    data = seed[: value_type.words * 2]
    wire = spelled(data.hex())
    unimplemented = int.from_bytes(sunspec.create_unimpl_value(theirs, value_type.words * 2), "big")
    point = point_of(value_type, sentinels=(unimplemented,))
    peer = sunspec.point_type_info[theirs][2](data)

    seen = value_of(point, wire)

    if isinstance(seen, NoValue):
        assert peer is None or not np.isfinite(peer) or int.from_bytes(data, "big") == unimplemented
    elif value_type.layout is Layout.FLOAT:
        form = ">f" if value_type.bits == 32 else ">d"
        assert isinstance(seen, NumberValue)
        assert struct.pack(form, float(seen.value)) == struct.pack(form, peer or 0.0)
    else:
        assert isinstance(seen, NumberValue)
        assert int(seen.value) == peer

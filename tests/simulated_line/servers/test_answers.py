"""The simulator's own codec from the server's side: the specification's examples, its checks and their order."""

from __future__ import annotations

import pytest

from simulated_line.reference_codec.check_sum import check_sum, is_closed_right
from simulated_line.servers.answers import Answerer, Refused
from simulated_line.servers.register_map import RegisterMap, Table

ALL = frozenset({1, 2, 3, 4, 5, 6, 7, 8, 0x0B, 0x0C, 0x0F, 0x10, 0x11, 0x16, 0x17, 0x2B})


def bits_of(data: str) -> list[int]:
    """Bits of hex bytes, lowest first."""
    return [byte >> bit & 1 for byte in bytes.fromhex(data) for bit in range(8)]


def specification_map() -> RegisterMap:
    """The tables that the worked examples of the specification show."""
    registers = RegisterMap()
    registers.put(Table.COILS, 0x13, *bits_of("CD 6B 05"))
    registers.put(Table.COILS, 0xAC, 0)
    registers.put(Table.DISCRETE_INPUTS, 0xC4, *bits_of("AC DB 35"))
    registers.put(Table.HOLDING_REGISTERS, 0x6B, 555, 0, 100)
    registers.put(Table.HOLDING_REGISTERS, 0, *range(20))
    registers.put(Table.HOLDING_REGISTERS, 3, 0xFE, 0x12, 1, 3, 13, 255)
    registers.put(Table.INPUT_REGISTERS, 8, 10)
    return registers


def server(registers: RegisterMap, largest_quantity: int = 125) -> Answerer:
    """A server that keeps what is written."""
    return Answerer(registers, ALL, largest_quantity, 0x02, registers.put)


@pytest.mark.parametrize(
    ("request_hex", "reply_hex"),
    [
        ("01 00 13 00 13", "01 03 CD 6B 05"),
        ("02 00 C4 00 16", "02 03 AC DB 35"),
        ("03 00 6B 00 03", "03 06 02 2B 00 00 00 64"),
        ("04 00 08 00 01", "04 02 00 0A"),
        ("05 00 AC FF 00", "05 00 AC FF 00"),
        ("06 00 01 00 03", "06 00 01 00 03"),
        ("08 00 00 A5 37", "08 00 00 A5 37"),
        ("0F 00 13 00 0A 02 CD 01", "0F 00 13 00 0A"),
        ("10 00 01 00 02 04 00 0A 01 02", "10 00 01 00 02"),
        ("17 00 03 00 06 00 0E 00 03 06 00 FF 00 FF 00 FF", "17 0C 00 FE 00 12 00 01 00 03 00 0D 00 FF"),
    ],
)
def test_the_worked_examples_of_the_specification(request_hex: str, reply_hex: str) -> None:
    """Application V1.1b3, 6.1 to 6.6, 6.8, 6.11, 6.12, 6.17 (the register 0ACD of the last one replaced)."""
    assert server(specification_map()).answer(bytes.fromhex(request_hex), 0.0) == bytes.fromhex(reply_hex)


def test_the_mask_write_of_the_specification() -> None:
    """6.16: 12, AND F2, OR 25 gives 17."""
    registers = specification_map()

    server(registers).answer(bytes.fromhex("16 00 04 00 F2 00 25"), 0.0)

    assert registers.read(Table.HOLDING_REGISTERS, 4, 1, 0.0) == [0x17]


@pytest.mark.parametrize(
    ("request_hex", "code"),
    [
        ("14 00", 0x01),
        ("03 00 00 00 00", 0x03),
        ("03 00 00 00 7E", 0x03),
        ("01 00 13 07 D1", 0x03),
        ("05 00 AC 12 34", 0x03),
        ("10 00 01 00 02 03 00 0A 01", 0x03),
        ("03 00 60 00 05", 0x02),
        ("04 00 09 00 01", 0x02),
        ("06 FF FF 00 00", 0x02),
        ("03 FF FF 00 7E", 0x03),
    ],
)
def test_refusals_and_their_order(request_hex: str, code: int) -> None:
    """Application V1.1b3, 7: function 01, then quantity 03, then address 02."""
    with pytest.raises(Refused) as refused:
        server(specification_map()).answer(bytes.fromhex(request_hex), 0.0)

    assert refused.value.code == code


def test_one_register_too_many_for_the_map_is_an_illegal_address() -> None:
    """Application V1.1b3, 7: with 100 registers, 96 and 4 works, 96 and 5 fails."""
    registers = RegisterMap()
    registers.put(Table.HOLDING_REGISTERS, 0, *range(100))

    assert len(server(registers).answer(bytes.fromhex("03 00 60 00 04"), 0.0)) == 10
    with pytest.raises(Refused):
        server(registers).answer(bytes.fromhex("03 00 60 00 05"), 0.0)


def test_what_is_cleared_by_reading_is_read_once() -> None:
    registers = specification_map()
    registers.clear_on_read.add((Table.INPUT_REGISTERS, 8))
    one = server(registers)

    first, second = (one.answer(bytes.fromhex("04 00 08 00 01"), 0.0) for _ in range(2))

    assert (first, second) == (bytes.fromhex("04 02 00 0A"), bytes.fromhex("04 02 00 00"))


def test_identification_goes_on_where_it_stopped() -> None:
    """6.21: objects are never split; more follows says where to go on."""
    one = server(RegisterMap())
    one.identification = {0: b"A" * 200, 1: b"B" * 100, 2: b"C"}

    first = one.answer(bytes.fromhex("2B 0E 01 00"), 0.0)
    second = one.answer(bytes.fromhex("2B 0E 01 01"), 0.0)

    assert first[4:7] == bytes.fromhex("FF 01 01")
    assert second[4:7] == bytes.fromhex("00 00 02")


def test_the_check_sum_of_the_standard() -> None:
    """Serial Line V1.02, appendix B: 02 07 is followed by 41 12."""
    assert check_sum(bytes.fromhex("02 07")) == bytes.fromhex("41 12")
    assert is_closed_right(bytes.fromhex("11 03 00 6B 00 03 76 87"))
    assert not is_closed_right(bytes.fromhex("11 03 00 6B 00 03 76 88"))

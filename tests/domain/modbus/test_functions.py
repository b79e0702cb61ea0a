"""Requests and replies against the worked examples of MODBUS Application Protocol V1.1b3, and what must be refused."""

from __future__ import annotations

import pytest

from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.functions.diagnose import COUNTERS, Diagnose, Diagnosed, SubFunction
from buswalk.domain.modbus.functions.get_comm_event_counter import CommEventCounter, GetCommEventCounter
from buswalk.domain.modbus.functions.get_comm_event_log import CommEventLog, GetCommEventLog
from buswalk.domain.modbus.functions.mask_write_register import MaskWriteRegister, RegisterMasked
from buswalk.domain.modbus.functions.read_coils import CoilsRead, ReadCoils
from buswalk.domain.modbus.functions.read_device_identification import (
    DeviceIdentification,
    IdentificationObject,
    ReadCode,
    ReadDeviceIdentification,
)
from buswalk.domain.modbus.functions.read_discrete_inputs import DiscreteInputsRead, ReadDiscreteInputs
from buswalk.domain.modbus.functions.read_exception_status import ExceptionStatus, ReadExceptionStatus
from buswalk.domain.modbus.functions.read_holding_registers import HoldingRegistersRead, ReadHoldingRegisters
from buswalk.domain.modbus.functions.read_input_registers import InputRegistersRead, ReadInputRegisters
from buswalk.domain.modbus.functions.read_write_registers import ReadWriteRegisters, RegistersReadAfterWriting
from buswalk.domain.modbus.functions.report_server_id import ReportServerId, ServerId
from buswalk.domain.modbus.functions.table import FUNCTIONS, function_row
from buswalk.domain.modbus.functions.write_multiple_coils import MultipleCoilsWritten, WriteMultipleCoils
from buswalk.domain.modbus.functions.write_multiple_registers import MultipleRegistersWritten, WriteMultipleRegisters
from buswalk.domain.modbus.functions.write_single_coil import SingleCoilWritten, WriteSingleCoil
from buswalk.domain.modbus.functions.write_single_register import SingleRegisterWritten, WriteSingleRegister
from buswalk.domain.modbus.request import Effect, KnownLength, Reply, Request, WrongReply, WrongReplyReason


def bits(text: str) -> tuple[bool, ...]:
    """States written as 1 and 0, first one first."""
    return tuple(one == "1" for one in text if one in "01")


# Section, request, request PDU, reply PDU, reply, CRC of request and reply for address 1 (ours, two implementations).
EXAMPLES: list[tuple[str, Request, str, str, Reply, str, str]] = [
    (
        "6.1",
        ReadCoils(0x13, 19),
        "01 00 13 00 13",
        "01 03 CD 6B 05",
        CoilsRead(0x13, bits("10110011 11010110 101")),
        "8C 02",
        "42 82",
    ),
    (
        "6.2",
        ReadDiscreteInputs(0xC4, 22),
        "02 00 C4 00 16",
        "02 03 AC DB 35",
        DiscreteInputsRead(0xC4, bits("00110101 11011011 101011")),
        "B8 39",
        "22 88",
    ),
    (
        "6.3",
        ReadHoldingRegisters(107, 3),
        "03 00 6B 00 03",
        "03 06 02 2B 00 00 00 64",
        HoldingRegistersRead(107, (555, 0, 100)),
        "74 17",
        "05 7A",
    ),
    (
        "6.4",
        ReadInputRegisters(8, 1),
        "04 00 08 00 01",
        "04 02 00 0A",
        InputRegistersRead(8, (10,)),
        "B0 08",
        "39 37",
    ),
    (
        "6.5",
        WriteSingleCoil(172, is_on=True),
        "05 00 AC FF 00",
        "05 00 AC FF 00",
        SingleCoilWritten(172, is_on=True),
        "4C 1B",
        "4C 1B",
    ),
    (
        "6.6",
        WriteSingleRegister(1, 3),
        "06 00 01 00 03",
        "06 00 01 00 03",
        SingleRegisterWritten(1, 3),
        "98 0B",
        "98 0B",
    ),
    ("6.7", ReadExceptionStatus(), "07", "07 6D", ExceptionStatus(bits("10110110")), "41 E2", "E3 DD"),
    (
        "6.8.2",
        Diagnose(SubFunction.RETURN_QUERY_DATA, bytes.fromhex("A5 37")),
        "08 00 00 A5 37",
        "08 00 00 A5 37",
        Diagnosed(SubFunction.RETURN_QUERY_DATA, bytes.fromhex("A5 37")),
        "DA 8D",
        "DA 8D",
    ),
    ("6.9", GetCommEventCounter(), "0B", "0B FF FF 01 08", CommEventCounter(True, 264), "41 E7", "A4 79"),  # noqa: FBT003
    (
        "6.10",
        GetCommEventLog(),
        "0C",
        "0C 08 00 00 01 08 01 21 20 00",
        CommEventLog(False, 264, 289, bytes.fromhex("20 00")),  # noqa: FBT003
        "00 25",
        "0D C1",
    ),
    (
        "6.11",
        WriteMultipleCoils(0x13, bits("10110011 10")),
        "0F 00 13 00 0A 02 CD 01",
        "0F 00 13 00 0A",
        MultipleCoilsWritten(0x13, 10),
        "72 CB",
        "24 09",
    ),
    (
        "6.12",
        WriteMultipleRegisters(1, (10, 258)),
        "10 00 01 00 02 04 00 0A 01 02",
        "10 00 01 00 02",
        MultipleRegistersWritten(1, 2),
        "92 30",
        "10 08",
    ),
    (
        "6.16",
        MaskWriteRegister(4, 0xF2, 0x25),
        "16 00 04 00 F2 00 25",
        "16 00 04 00 F2 00 25",
        RegisterMasked(4, 0xF2, 0x25),
        "67 EE",
        "67 EE",
    ),
    (
        "6.17",
        ReadWriteRegisters(3, 6, 14, (255, 255, 255)),
        "17 00 03 00 06 00 0E 00 03 06 00 FF 00 FF 00 FF",
        "17 0C 00 FE 0A CD 00 01 00 03 00 0D 00 FF",
        RegistersReadAfterWriting(3, (0xFE, 0xACD, 1, 3, 13, 255)),
        "46 91",
        "1D 79",
    ),
]
IDENTIFICATION_REPLY = bytes.fromhex(
    "2B 0E 01 01 00 00 03 00 16 43 6F 6D 70 61 6E 79 20 69 64 65 6E 74 69 66 69 63 61 74 69 6F 6E"
    "01 0F 50 72 6F 64 75 63 74 20 63 6F 64 65 20 58 58 02 05 56 32 2E 31 31"
)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: f"section {example[0]}")
def test_the_worked_examples_of_the_specification(
    example: tuple[str, Request, str, str, Reply, str, str],
) -> None:
    """Application V1.1b3, section as named; the PDU bytes are the specification's own."""
    _, request, request_hex, reply_hex, reply, request_crc, reply_crc = example

    assert request.pdu() == bytes.fromhex(request_hex)
    assert request.parse_reply(bytes.fromhex(reply_hex)) == reply
    assert build_adu(1, request.pdu())[-2:] == bytes.fromhex(request_crc)
    assert build_adu(1, bytes.fromhex(reply_hex))[-2:] == bytes.fromhex(reply_crc)


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: f"section {example[0]}")
def test_a_request_heard_is_read_back(example: tuple[str, Request, str, str, Reply, str, str]) -> None:
    row = function_row(bytes.fromhex(example[2])[0])

    assert row is not None
    assert row.parse_request(bytes.fromhex(example[2])) == example[1]


@pytest.mark.parametrize("example", EXAMPLES, ids=lambda example: f"section {example[0]}")
def test_the_length_of_a_reply_is_known_before_its_last_byte(
    example: tuple[str, Request, str, str, Reply, str, str],
) -> None:
    """A reply is ended by its length: from two bytes on, each of these tells it."""
    request, reply = example[1], bytes.fromhex(example[3])

    assert request.reply_length(reply[:2]) == KnownLength(len(reply))


def test_identification_as_the_specification_means_it() -> None:
    """6.21; its example prints lengths 0D and 1C for strings of 15 and 29 characters: a misprint, mended here."""
    reply = ReadDeviceIdentification(ReadCode.BASIC, 0).parse_reply(IDENTIFICATION_REPLY)

    assert reply == DeviceIdentification(
        conformity_level=1,
        more_follows=False,
        next_object_id=0,
        objects=(
            IdentificationObject(0, b"Company identification"),
            IdentificationObject(1, b"Product code XX"),
            IdentificationObject(2, b"V2.11"),
        ),
    )


def test_the_length_of_an_identification_is_found_by_walking_its_objects() -> None:
    request = ReadDeviceIdentification(ReadCode.BASIC, 0)

    for cut in range(len(IDENTIFICATION_REPLY) - 4, len(IDENTIFICATION_REPLY)):
        assert request.reply_length(IDENTIFICATION_REPLY[:cut]) == KnownLength(len(IDENTIFICATION_REPLY))


def test_the_string_lengths_printed_in_the_specification_contradict_its_strings() -> None:
    """6.21 of V1.1b3 prints 0D for "Product code XX", which has 15 characters."""
    misprinted = IDENTIFICATION_REPLY.replace(b"\x01\x0fProduct", b"\x01\x0dProduct")

    with pytest.raises(WrongReply):
        ReadDeviceIdentification(ReadCode.BASIC, 0).parse_reply(misprinted)


def test_the_event_byte_for_listen_only_is_04() -> None:
    """6.10 explains 20 as "entered listen-only" in its example; the definition in the same section says 04."""
    log = GetCommEventLog().parse_reply(bytes.fromhex("0C 07 00 00 00 01 00 01 04"))

    assert isinstance(log, CommEventLog)
    assert log.events == b"\x04"


def test_server_id_stays_raw() -> None:
    """6.13 leaves the layout to the maker."""
    reply = ReportServerId().parse_reply(bytes.fromhex("11 03 41 42 FF"))

    assert reply == ServerId(b"AB\xff")


WRONG: list[tuple[Request, str, WrongReplyReason]] = [
    (ReadHoldingRegisters(0, 2), "04 04 00 01 00 02", WrongReplyReason.OTHER_FUNCTION),
    (ReadHoldingRegisters(0, 2), "03 02 00 01", WrongReplyReason.OTHER_QUANTITY),
    (ReadHoldingRegisters(0, 2), "03 06 00 01 00 02 00 03", WrongReplyReason.OTHER_QUANTITY),
    (ReadHoldingRegisters(0, 2), "03 02 00 01 00 02", WrongReplyReason.BYTE_COUNT_DISAGREES),
    (ReadHoldingRegisters(0, 2), "03 04 00 01 00", WrongReplyReason.BYTE_COUNT_DISAGREES),
    (ReadInputRegisters(0, 1), "03 02 00 01", WrongReplyReason.OTHER_FUNCTION),
    (ReadCoils(0, 3), "01 01 0F", WrongReplyReason.OTHER_QUANTITY),
    (ReadCoils(0, 9), "01 01 FF", WrongReplyReason.OTHER_QUANTITY),
    (ReadDiscreteInputs(0, 8), "02 02 FF 00", WrongReplyReason.OTHER_QUANTITY),
    (WriteSingleCoil(1, is_on=True), "05 00 02 FF 00", WrongReplyReason.OTHER_REGISTER_ADDRESS),
    (WriteSingleCoil(1, is_on=True), "05 00 01 00 00", WrongReplyReason.OTHER_VALUE),
    (WriteSingleRegister(1, 3), "06 00 01 00 04", WrongReplyReason.OTHER_VALUE),
    (WriteSingleRegister(1, 3), "06 00 02 00 03", WrongReplyReason.OTHER_REGISTER_ADDRESS),
    (WriteSingleRegister(1, 3), "06 00 01 00", WrongReplyReason.NOT_A_LEGAL_REPLY),
    (ReadExceptionStatus(), "07", WrongReplyReason.NOT_A_LEGAL_REPLY),
    (Diagnose(SubFunction.BUS_MESSAGE_COUNT), "08 00 0C 00 01", WrongReplyReason.OTHER_SUB_FUNCTION),
    (Diagnose(SubFunction.RETURN_QUERY_DATA), "08 00 00 00 01", WrongReplyReason.OTHER_VALUE),
    (GetCommEventCounter(), "0B 12 34 00 01", WrongReplyReason.NOT_A_LEGAL_REPLY),
    (GetCommEventLog(), "0C 05 00 00 00 01 00", WrongReplyReason.NOT_A_LEGAL_REPLY),
    (GetCommEventLog(), "0C 06 00 01 00 01 00 01", WrongReplyReason.NOT_A_LEGAL_REPLY),
    (WriteMultipleCoils(0, bits("11")), "0F 00 00 00 03", WrongReplyReason.OTHER_QUANTITY),
    (WriteMultipleCoils(0, bits("11")), "0F 00 01 00 02", WrongReplyReason.OTHER_REGISTER_ADDRESS),
    (WriteMultipleRegisters(1, (1,)), "10 00 01 00 02", WrongReplyReason.OTHER_QUANTITY),
    (WriteMultipleRegisters(1, (1,)), "10 00 00 00 01", WrongReplyReason.OTHER_REGISTER_ADDRESS),
    (MaskWriteRegister(1, 2, 3), "16 00 01 00 02 00 04", WrongReplyReason.OTHER_VALUE),
    (MaskWriteRegister(1, 2, 3), "16 00 01 00 03 00 03", WrongReplyReason.OTHER_VALUE),
    (MaskWriteRegister(1, 2, 3), "16 00 02 00 02 00 03", WrongReplyReason.OTHER_REGISTER_ADDRESS),
    (ReadWriteRegisters(0, 2, 0, (1,)), "17 02 00 01", WrongReplyReason.OTHER_QUANTITY),
    (ReportServerId(), "11 04 41 42 FF", WrongReplyReason.BYTE_COUNT_DISAGREES),
    (ReadDeviceIdentification(), "2B 0D 01 01 00 00 00", WrongReplyReason.OTHER_SUB_FUNCTION),
    (ReadDeviceIdentification(), "2B 0E 02 01 00 00 00", WrongReplyReason.OTHER_SUB_FUNCTION),
    (ReadDeviceIdentification(), "2B 0E 01 07 00 00 00", WrongReplyReason.NOT_A_LEGAL_REPLY),
    (ReadDeviceIdentification(), "2B 0E 01 01 01 00 00", WrongReplyReason.NOT_A_LEGAL_REPLY),
    (ReadDeviceIdentification(), "2B 0E 01 01 00 00 01 00 05 41", WrongReplyReason.BYTE_COUNT_DISAGREES),
    (ReadDeviceIdentification(), "2B 0E 01 01 00 00 00 41", WrongReplyReason.BYTE_COUNT_DISAGREES),
    (
        ReadDeviceIdentification(ReadCode.ONE_OBJECT, 1),
        "2B 0E 04 81 00 00 01 00 01 41",
        WrongReplyReason.OTHER_REGISTER_ADDRESS,
    ),
]


@pytest.mark.parametrize(("request_", "reply_hex", "reason"), WRONG, ids=[f"{one[1]}" for one in WRONG])
def test_a_wrong_reply_is_never_accepted(request_: Request, reply_hex: str, reason: WrongReplyReason) -> None:
    """Among these are the misbehaviours that a common client library takes for good."""
    with pytest.raises(WrongReply) as refused:
        request_.parse_reply(bytes.fromhex(reply_hex))

    assert refused.value.reason is reason
    assert refused.value.sentence


@pytest.mark.parametrize(
    "build",
    [
        lambda: ReadCoils(0, 0),
        lambda: ReadCoils(0, 2001),
        lambda: ReadDiscreteInputs(65530, 7),
        lambda: ReadHoldingRegisters(0, 126),
        lambda: ReadHoldingRegisters(-1, 1),
        lambda: ReadInputRegisters(65536, 1),
        lambda: WriteSingleRegister(0, 65536),
        lambda: WriteSingleRegister(0, -1),
        lambda: WriteMultipleCoils(0, (True,) * 1969),
        lambda: WriteMultipleRegisters(0, (0,) * 124),
        lambda: WriteMultipleRegisters(0, ()),
        lambda: ReadWriteRegisters(0, 1, 0, (0,) * 122),
        lambda: ReadWriteRegisters(0, 126, 0, (0,)),
        lambda: MaskWriteRegister(0, 65536, 0),
        lambda: Diagnose(SubFunction.BUS_MESSAGE_COUNT, b"\x00\x00\x00\x00"),
        lambda: Diagnose(SubFunction.RETURN_QUERY_DATA, b"\x00"),
        lambda: ReadDeviceIdentification(ReadCode.BASIC, 256),
    ],
)
def test_what_the_standard_refuses_cannot_be_built(build: object) -> None:
    """Limits of Application V1.1b3, 6: 2000 bits, 125 and 123 registers, 1968 coils, 121 in function 17."""
    assert callable(build)
    with pytest.raises(ValueError, match=r"."):
        build()


@pytest.mark.parametrize(
    ("request_", "largest"), [(ReadCoils(63536, 2000), 2000), (ReadHoldingRegisters(65411, 125), 125)]
)
def test_the_largest_quantity_up_to_the_last_address_can_be_built(request_: Request, largest: int) -> None:
    assert request_.pdu()[3:5] == largest.to_bytes(2, "big")


def test_each_row_of_the_table_has_its_own_code_and_words() -> None:
    codes = [row.function_code for row in FUNCTIONS]

    assert codes == sorted(set(codes))
    assert codes == [1, 2, 3, 4, 5, 6, 7, 8, 0x0B, 0x0C, 0x0F, 0x10, 0x11, 0x16, 0x17, 0x2B]
    assert len({row.words for row in FUNCTIONS}) == len(codes)


def test_only_harmless_sub_functions_count_as_diagnosing() -> None:
    """Restart, ASCII delimiter, listen only and the clears disturb (Application V1.1b3, 6.8.1)."""
    disturbing = {one for one in SubFunction if Diagnose(one).effect is Effect.DISTURBS}

    assert {int(one) for one in disturbing} == {0x01, 0x03, 0x04, 0x0A, 0x14}
    assert {int(one) for one in COUNTERS} == {0x0B, 0x0C, 0x0D, 0x0E, 0x0F, 0x10, 0x11, 0x12}

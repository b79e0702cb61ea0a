"""Reads of one parity weight: derived once more by brute force, and put before simulated UARTs of every framing."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.request import Effect
from buswalk.domain.search.one_parity import one_parity_read, parity_served
from simulated_line.pair.uart import Recovery, receive
from simulated_line.pair.waveform import Waveform, burst_toggles
from simulated_line.station import CharacterFault

ADDRESSES = range(1, 248)
TWO_STOP_BITS = SerialSettings.of(9600, "8N2")
RECEIVERS = tuple(SerialSettings.of(9600, framing) for framing in ("8N1", "8N2", "8E1", "8O1"))


def frame(server_address: int) -> bytes:
    return build_adu(server_address, one_parity_read(server_address).pdu())


def crc_bit_by_bit(data: bytes) -> bytes:
    """Serial Line V1.02, 6.2.2: start FFFF, polynomial A001, low byte first."""
    register = 0xFFFF
    for byte in data:
        register ^= byte
        for _ in range(8):
            register = register >> 1 ^ 0xA001 if register & 1 else register >> 1
    return bytes([register & 0xFF, register >> 8])


def ones(byte: int) -> int:
    return format(byte, "b").count("1")


def every_read(server_address: int) -> Iterator[bytes]:
    """All reads by function 01 of 1 to 2000 coils or 03 of 1 to 125 registers (Application V1.1b3, 6.1 and 6.3)."""
    most = {0x01: 2000, 0x03: 125}
    for function, quantities in most.items():
        if ones(function) % 2 != ones(server_address) % 2:
            continue
        for quantity in range(1, quantities + 1):
            if {ones(byte) % 2 for byte in divmod(quantity, 256)} != {ones(server_address) % 2}:
                continue
            for start in range(0x10000 - quantity, -1, -1):
                body = bytes([server_address, function, *divmod(start, 256), *divmod(quantity, 256)])
                if {ones(byte) % 2 for byte in body + crc_bit_by_bit(body)} == {ones(server_address) % 2}:
                    yield body + crc_bit_by_bit(body)


def accepted_bytes(data: bytes, settings: SerialSettings) -> bytes | None:
    """Return what a receiver of these settings takes from `data` sent with two stop bits; None if it marks a fault."""
    toggles = burst_toggles(data, TWO_STOP_BITS, ())
    until_s = (len(data) + 1) * TWO_STOP_BITS.character_s
    heard = receive(Waveform(1, toggles), settings, Recovery.NEXT_EDGE, -1.0, until_s)
    if any(one.faults is not CharacterFault.NONE for one in heard):
        return None
    return bytes(one.byte for one in heard)


def test_worked_examples() -> None:
    assert frame(1) == bytes.fromhex("01 01 FE FB 01 01 BC 43")
    assert frame(3) == bytes.fromhex("03 03 FF FA 00 03 14 0C")


def test_brute_force_finds_the_same_frame_for_every_address() -> None:
    assert {one: frame(one) for one in ADDRESSES} == {one: next(every_read(one)) for one in ADDRESSES}


def test_124_addresses_serve_even_parity_and_123_odd_parity() -> None:
    served = [parity_served(one) for one in ADDRESSES]

    assert (served.count(Parity.EVEN), served.count(Parity.ODD)) == (124, 123)


def test_it_only_reads_and_starts_where_little_is_mapped() -> None:
    assert {one_parity_read(one).effect for one in ADDRESSES} == {Effect.READS}
    assert min(one_parity_read(one).register_address for one in ADDRESSES) > 0xFE00


@pytest.mark.parametrize("settings", RECEIVERS, ids=str)
def test_servers_without_parity_and_of_the_parity_served_accept_it_and_no_others(settings: SerialSettings) -> None:
    """The frame is sent once with two stop bits; whole bytes without a mark are what a server checks."""
    accepting = [one for one in ADDRESSES if accepted_bytes(frame(one), settings) == frame(one)]

    serving = [one for one in ADDRESSES if settings.parity in (Parity.NONE, parity_served(one))]
    assert accepting == serving


@pytest.mark.parametrize("framing", ["8E1", "8O1"])
def test_an_ordinary_read_is_accepted_without_parity_only(framing: str) -> None:
    """01 03 00 00 00 01 84 0A has bytes of both weights (Serial Line V1.02, 2.5.1.2 gives the layout)."""
    ordinary = bytes.fromhex("01 03 00 00 00 01 84 0A")

    assert accepted_bytes(ordinary, SerialSettings.of(9600, framing)) is None
    assert accepted_bytes(ordinary, SerialSettings.of(9600, "8N1")) == ordinary


@pytest.mark.parametrize("address", [0, 248, 255])
def test_an_address_that_is_no_servers_has_none(address: int) -> None:
    with pytest.raises(ValueError, match="servers have 1 to 247"):
        one_parity_read(address)

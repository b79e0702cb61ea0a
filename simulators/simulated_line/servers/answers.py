"""What a server answers to a PDU: the tables, the checks in the standard's order, the counters.

Order of checks: function (01), quantity (03), address (02), doing it (04); Application V1.1b3, 7 and its figures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from simulated_line.servers.register_map import RegisterMap, Table

WRITES = frozenset({0x05, 0x06, 0x0F, 0x10, 0x16, 0x17})


class Refused(Exception):
    """The server refuses with an exception code."""

    def __init__(self, code: int) -> None:
        super().__init__(f"exception {code:02X}")
        self.code = code


class Unanswered(Exception):
    """The server says nothing to this."""


@dataclass(slots=True)
class Counters:
    """Diagnostic counters of the serial line (Serial Line V1.02, appendix A)."""

    bus_messages: int = 0
    communication_errors: int = 0
    exceptions: int = 0
    server_messages: int = 0
    no_responses: int = 0
    completed: int = 0


@dataclass(slots=True)
class Answerer:
    """Answers PDUs out of a register map.

    Attributes:
        store: Takes a written word or bit; decides what becomes of it.
        identification: Objects of 2B/0E by number.
        server_id: Data of function 11, byte count not included.
    """

    registers: RegisterMap
    functions: frozenset[int]
    largest_quantity: int
    outside_code: int
    store: Callable[[Table, int, int], None]
    identification: dict[int, bytes] = field(default_factory=dict)
    server_id: bytes = b""
    counters: Counters = field(default_factory=Counters)
    listens_only: bool = False

    def answer(self, pdu: bytes, now_s: float) -> bytes:
        """Return the reply PDU.

        Raises:
            Refused: With the exception code.
        """
        function = pdu[0]
        if function not in self.functions or function not in _ANSWERS:
            raise Refused(0x01)
        return _ANSWERS[function](self, pdu, now_s)

    def _span(self, pdu: bytes, table: Table, largest: int) -> tuple[int, int]:
        if len(pdu) < 5:
            raise Refused(0x03)
        address, quantity = _word(pdu, 1), _word(pdu, 3)
        if not 1 <= quantity <= largest:
            raise Refused(0x03)
        self._require(table, address, quantity)
        return address, quantity

    def _require(self, table: Table, address: int, quantity: int) -> None:
        if not self.registers.has(table, address, quantity):
            raise Refused(self.outside_code)


def _word(pdu: bytes, at: int) -> int:
    return pdu[at] << 8 | pdu[at + 1]


def _bits(table: Table) -> Callable[[Answerer, bytes, float], bytes]:
    def answer(self: Answerer, pdu: bytes, now_s: float) -> bytes:
        address, quantity = self._span(pdu, table, 2000)
        packed = bytearray((quantity + 7) // 8)
        for index, state in enumerate(self.registers.read(table, address, quantity, now_s)):
            if state:
                packed[index >> 3] |= 1 << (index & 7)
        return bytes((pdu[0], len(packed))) + packed

    return answer


def _registers(table: Table) -> Callable[[Answerer, bytes, float], bytes]:
    def answer(self: Answerer, pdu: bytes, now_s: float) -> bytes:
        address, quantity = self._span(pdu, table, min(125, self.largest_quantity))
        values = self.registers.read(table, address, quantity, now_s)
        return bytes((pdu[0], 2 * quantity)) + b"".join(value.to_bytes(2, "big") for value in values)

    return answer


def _write_coil(self: Answerer, pdu: bytes, _: float) -> bytes:
    if len(pdu) != 5 or _word(pdu, 3) not in (0x0000, 0xFF00):
        raise Refused(0x03)
    self._require(Table.COILS, _word(pdu, 1), 1)
    self.store(Table.COILS, _word(pdu, 1), 1 if pdu[3] else 0)
    return pdu


def _write_register(self: Answerer, pdu: bytes, _: float) -> bytes:
    if len(pdu) != 5:
        raise Refused(0x03)
    self._require(Table.HOLDING_REGISTERS, _word(pdu, 1), 1)
    self.store(Table.HOLDING_REGISTERS, _word(pdu, 1), _word(pdu, 3))
    return pdu


def _write_coils(self: Answerer, pdu: bytes, _: float) -> bytes:
    quantity = _word(pdu, 3) if len(pdu) >= 6 else 0
    if not 1 <= quantity <= 1968 or pdu[5] != (quantity + 7) // 8 or len(pdu) != 6 + pdu[5]:
        raise Refused(0x03)
    address = _word(pdu, 1)
    self._require(Table.COILS, address, quantity)
    for index in range(quantity):
        self.store(Table.COILS, address + index, pdu[6 + (index >> 3)] >> (index & 7) & 1)
    return pdu[:5]


def _write_registers(self: Answerer, pdu: bytes, _: float) -> bytes:
    quantity = _word(pdu, 3) if len(pdu) >= 6 else 0
    if not 1 <= quantity <= 123 or pdu[5] != 2 * quantity or len(pdu) != 6 + pdu[5]:
        raise Refused(0x03)
    address = _word(pdu, 1)
    self._require(Table.HOLDING_REGISTERS, address, quantity)
    for index in range(quantity):
        self.store(Table.HOLDING_REGISTERS, address + index, _word(pdu, 6 + 2 * index))
    return pdu[:5]


def _mask_write(self: Answerer, pdu: bytes, now_s: float) -> bytes:
    if len(pdu) != 7:
        raise Refused(0x03)
    address, and_mask, or_mask = _word(pdu, 1), _word(pdu, 3), _word(pdu, 5)
    self._require(Table.HOLDING_REGISTERS, address, 1)
    old = self.registers.read(Table.HOLDING_REGISTERS, address, 1, now_s)[0]
    self.store(Table.HOLDING_REGISTERS, address, (old & and_mask) | (or_mask & ~and_mask & 0xFFFF))
    return pdu


def _read_write(self: Answerer, pdu: bytes, now_s: float) -> bytes:
    if len(pdu) < 12:
        raise Refused(0x03)
    read_quantity, write_quantity = _word(pdu, 3), _word(pdu, 7)
    sizes_agree = pdu[9] == 2 * write_quantity and len(pdu) == 10 + pdu[9]
    if not (1 <= read_quantity <= 125 and 1 <= write_quantity <= 121 and sizes_agree):
        raise Refused(0x03)
    self._require(Table.HOLDING_REGISTERS, _word(pdu, 1), read_quantity)
    self._require(Table.HOLDING_REGISTERS, _word(pdu, 5), write_quantity)
    for index in range(write_quantity):
        self.store(Table.HOLDING_REGISTERS, _word(pdu, 5) + index, _word(pdu, 10 + 2 * index))
    values = self.registers.read(Table.HOLDING_REGISTERS, _word(pdu, 1), read_quantity, now_s)
    return bytes((pdu[0], 2 * read_quantity)) + b"".join(value.to_bytes(2, "big") for value in values)


def _exception_status(_: Answerer, pdu: bytes, __: float) -> bytes:
    return bytes((pdu[0], 0x00))


def _diagnose(self: Answerer, pdu: bytes, _: float) -> bytes:
    if len(pdu) < 5:
        raise Refused(0x03)
    counters = self.counters
    counted = {
        0x02: 0,
        0x0B: counters.bus_messages,
        0x0C: counters.communication_errors,
        0x0D: counters.exceptions,
        0x0E: counters.server_messages,
        0x0F: counters.no_responses,
        0x10: 0,
        0x11: 0,
        0x12: 0,
    }
    sub_function = _word(pdu, 1)
    if sub_function == 0x00:
        return pdu
    if sub_function == 0x01:
        self.listens_only = False
        return pdu
    if sub_function == 0x04:
        self.listens_only = True
        return b""
    if sub_function == 0x0A:
        self.counters = Counters()
        return pdu
    if sub_function not in counted:
        raise Refused(0x01)
    return pdu[:3] + (counted[sub_function] & 0xFFFF).to_bytes(2, "big")


def _event_counter(self: Answerer, pdu: bytes, _: float) -> bytes:
    return bytes((pdu[0], 0, 0)) + (self.counters.completed & 0xFFFF).to_bytes(2, "big")


def _event_log(self: Answerer, pdu: bytes, _: float) -> bytes:
    words = (0, self.counters.completed & 0xFFFF, self.counters.bus_messages & 0xFFFF)
    return bytes((pdu[0], 6)) + b"".join(word.to_bytes(2, "big") for word in words)


def _report_id(self: Answerer, pdu: bytes, _: float) -> bytes:
    return bytes((pdu[0], len(self.server_id))) + self.server_id


def _identify(self: Answerer, pdu: bytes, _: float) -> bytes:
    if len(pdu) != 4 or pdu[1] != 0x0E:
        raise Refused(0x01)
    code, wanted = pdu[2], pdu[3]
    last = {1: 0x02, 2: 0x7F, 3: 0xFF}.get(code, 0)
    if code == 4:
        if wanted not in self.identification:
            raise Refused(0x02)
        return _identified(pdu, [wanted], self.identification, 0)
    if not last:
        raise Refused(0x03)
    numbers = sorted(number for number in self.identification if number <= last)
    start = wanted if wanted in numbers else 0
    chosen: list[int] = []
    room = 253 - 7
    left = [number for number in numbers if number >= start]
    while left and room >= 2 + len(self.identification[left[0]]):
        room -= 2 + len(self.identification[left[0]])
        chosen.append(left.pop(0))
    return _identified(pdu, chosen, self.identification, left[0] if left else 0)


def _identified(pdu: bytes, chosen: list[int], objects: dict[int, bytes], following: int) -> bytes:
    level = 0x83 if any(number >= 0x80 for number in objects) else 0x82 if max(objects) > 2 else 0x81
    head = bytes((0x2B, 0x0E, pdu[2], level, 0xFF if following else 0x00, following, len(chosen)))
    return head + b"".join(bytes((number, len(objects[number]))) + objects[number] for number in chosen)


_ANSWERS: dict[int, Callable[[Answerer, bytes, float], bytes]] = {
    0x01: _bits(Table.COILS),
    0x02: _bits(Table.DISCRETE_INPUTS),
    0x03: _registers(Table.HOLDING_REGISTERS),
    0x04: _registers(Table.INPUT_REGISTERS),
    0x05: _write_coil,
    0x06: _write_register,
    0x07: _exception_status,
    0x08: _diagnose,
    0x0B: _event_counter,
    0x0C: _event_log,
    0x0F: _write_coils,
    0x10: _write_registers,
    0x11: _report_id,
    0x16: _mask_write,
    0x17: _read_write,
    0x2B: _identify,
}

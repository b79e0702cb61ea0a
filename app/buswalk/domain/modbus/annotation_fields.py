"""The fields of requests and replies between function code and CRC, function by function, in words.

Order and widths as in Application V1.1b3, 6. What is left over, or cut off, is said as such.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

IDENTIFICATION_OBJECTS = {
    0: "vendor name",
    1: "product code",
    2: "revision",
    3: "vendor URL",
    4: "product name",
    5: "model name",
    6: "application name",
}
"""Application V1.1b3, 6.21, table of object ids."""
_STATUS = {0x0000: "not busy", 0xFFFF: "still busy with a command"}
_COIL = {0x0000: "off", 0xFF00: "on"}


@dataclass(frozen=True, slots=True)
class Field:
    """So many bytes and what they mean."""

    byte_count: int
    meaning: str


Layout = Callable[[bytes], list[Field]]


def request_fields(function: int, body: bytes) -> list[Field]:
    """Return the fields of a request's body, which lies between function code and CRC."""
    return _filled(_REQUESTS.get(function), body)


def reply_fields(function: int, body: bytes) -> list[Field]:
    """Return the fields of a reply's body, which lies between function code and CRC."""
    return _filled(_REPLIES.get(function), body)


def numbered(value: int) -> str:
    """Return a word as decimal and hex."""
    return f"{value} (0x{value:04X})"


def bit_words(data: bytes) -> str:
    """Return bits, the lowest of each byte first."""
    return " ".join("1" if byte >> bit & 1 else "0" for byte in data for bit in range(8))


def _filled(layout: Layout | None, body: bytes) -> list[Field]:
    """Keep to the bytes that there are."""
    fields: list[Field] = []
    at = 0
    for field in layout(body) if layout is not None else ():
        left = len(body) - at
        if not left or not field.byte_count:
            continue
        is_cut = field.byte_count > left
        fields.append(Field(left, f"{field.meaning}, cut off") if is_cut else field)
        at += min(left, field.byte_count)
    if at < len(body):
        fields.append(Field(len(body) - at, "more than this function has" if fields else "data"))
    return fields


def _word(body: bytes, at: int) -> int:
    return int.from_bytes(body[at : at + 2], "big")


def _byte(body: bytes, at: int) -> int:
    return body[at] if at < len(body) else 0


def _named(value: int, names: Mapping[int, str]) -> str:
    return names.get(value, f"not defined (0x{value:04X})")


def _registers(body: bytes, at: int, first: int) -> list[Field]:
    """The words from `at` to the end, as registers from `first` on."""
    return [
        Field(2, f"register {numbered(first + count)} = {numbered(_word(body, place))}")
        for count, place in enumerate(range(at, len(body), 2))
    ]


def _read(what: str) -> Layout:
    return lambda body: [
        Field(2, f"from {what} {numbered(_word(body, 0))}"),
        Field(2, f"quantity {_word(body, 2)}"),
    ]


def _write_coil(body: bytes) -> list[Field]:
    return [Field(2, f"coil {numbered(_word(body, 0))}"), Field(2, _named(_word(body, 2), _COIL))]


def _write_register(body: bytes) -> list[Field]:
    return [Field(2, f"register {numbered(_word(body, 0))}"), Field(2, f"value {numbered(_word(body, 2))}")]


def _write_coils(body: bytes) -> list[Field]:
    count = _byte(body, 4)
    bits = Field(count, f"states, lowest first: {bit_words(body[5 : 5 + count])}")
    return [*_read("coil")(body), Field(1, f"byte count {count}"), bits]


def _write_registers(body: bytes) -> list[Field]:
    head = [*_read("register")(body), Field(1, f"byte count {_byte(body, 4)}")]
    return head + _registers(body, 5, _word(body, 0))


def _mask(body: bytes) -> list[Field]:
    return [
        Field(2, f"register {numbered(_word(body, 0))}"),
        Field(2, f"AND mask 0x{_word(body, 2):04X}"),
        Field(2, f"OR mask 0x{_word(body, 4):04X}"),
    ]


def _read_and_write(body: bytes) -> list[Field]:
    return [
        Field(2, f"read from register {numbered(_word(body, 0))}"),
        Field(2, f"quantity {_word(body, 2)}"),
        Field(2, f"write from register {numbered(_word(body, 4))}"),
        Field(2, f"quantity {_word(body, 6)}"),
        Field(1, f"byte count {_byte(body, 8)}"),
        *_registers(body, 9, _word(body, 4)),
    ]


def _counted_words(body: bytes) -> list[Field]:
    words = [Field(2, f"value {numbered(_word(body, place))}") for place in range(1, len(body), 2)]
    return [Field(1, f"byte count {_byte(body, 0)}"), *words]


def _diagnose(body: bytes) -> list[Field]:
    return [Field(2, f"sub-function {_word(body, 0):04X}"), Field(max(0, len(body) - 2), "its data")]


def _exception_status(body: bytes) -> list[Field]:
    return [Field(1, f"status, lowest first: {bit_words(body[:1])}")]


def _event_counter(body: bytes) -> list[Field]:
    return [Field(2, _named(_word(body, 0), _STATUS)), Field(2, f"{_word(body, 2)} events")]


def _event_log(body: bytes) -> list[Field]:
    return [
        Field(1, f"byte count {_byte(body, 0)}"),
        Field(2, _named(_word(body, 1), _STATUS)),
        Field(2, f"{_word(body, 3)} events"),
        Field(2, f"{_word(body, 5)} messages"),
        Field(max(0, len(body) - 7), "last events, newest first"),
    ]


def _server_id(body: bytes) -> list[Field]:
    return [
        Field(1, f"byte count {_byte(body, 0)}"),
        Field(_byte(body, 0), "server ID, run indicator and what the maker adds"),
    ]


def _ask_identification(body: bytes) -> list[Field]:
    return [
        Field(1, _mei(body)),
        Field(1, f"read code {_byte(body, 1):02X}"),
        Field(1, f"from object {_object(_byte(body, 2))}"),
    ]


def _identification(body: bytes) -> list[Field]:
    fields = [
        Field(1, _mei(body)),
        Field(1, f"read code {_byte(body, 1):02X}"),
        Field(1, f"conformity {_byte(body, 2):02X}"),
        Field(1, "more follows" if _byte(body, 3) == 0xFF else "nothing follows"),
        Field(1, f"next object {_object(_byte(body, 4))}" if _byte(body, 3) == 0xFF else "next object: none"),
        Field(1, f"{_byte(body, 5)} objects"),
    ]
    at = 6
    while at + 1 < len(body):
        number, length = body[at], body[at + 1]
        text = body[at + 2 : at + 2 + length].decode("ascii", errors="backslashreplace")
        fields += [Field(1, f"object {_object(number)}"), Field(1, f"length {length}"), Field(length, f"'{text}'")]
        at += 2 + length
    return fields


def _mei(body: bytes) -> str:
    return "MEI type 0E, device identification" if _byte(body, 0) == 0x0E else f"MEI type {_byte(body, 0):02X}"


def _object(number: int) -> str:
    name = IDENTIFICATION_OBJECTS.get(number)
    return f"{number:02X}, {name}" if name else f"{number:02X}"


_REQUESTS: dict[int, Layout] = {
    0x01: _read("coil"),
    0x02: _read("input"),
    0x03: _read("register"),
    0x04: _read("register"),
    0x05: _write_coil,
    0x06: _write_register,
    0x08: _diagnose,
    0x0F: _write_coils,
    0x10: _write_registers,
    0x16: _mask,
    0x17: _read_and_write,
    0x2B: _ask_identification,
}
_REPLIES: dict[int, Layout] = {
    0x05: _write_coil,
    0x06: _write_register,
    0x07: _exception_status,
    0x08: _diagnose,
    0x0B: _event_counter,
    0x0C: _event_log,
    0x0F: _read("coil"),
    0x10: _read("register"),
    0x11: _server_id,
    0x16: _mask,
    0x17: _counted_words,
    0x2B: _identification,
}

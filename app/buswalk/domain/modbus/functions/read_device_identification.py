"""Function 2B/0E: read device identification (Application V1.1b3, 6.21).

One exchange only: following "more follows" over several, with a bound, is the asking job's part.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum

from buswalk.domain.modbus.functions.reply_checks import require_function
from buswalk.domain.modbus.request import (
    AtLeast,
    Effect,
    KnownLength,
    ReplyLength,
    WrongReply,
    WrongReplyReason,
)

FUNCTION_CODE = 0x2B
MEI_TYPE = 0x0E
HEADER_BYTES = 7
_CONFORMITY_LEVELS = (0x01, 0x02, 0x03, 0x81, 0x82, 0x83)


class ReadCode(IntEnum):
    """How much is asked for; the first three are streams, the last one object (6.21)."""

    BASIC = 0x01
    REGULAR = 0x02
    EXTENDED = 0x03
    ONE_OBJECT = 0x04


OBJECT_NAMES: tuple[str, ...] = (
    "vendor name",
    "product code",
    "revision",
    "vendor URL",
    "product name",
    "model name",
    "user application name",
)


@dataclass(frozen=True, slots=True)
class IdentificationObject:
    """One object: 00 to 02 are basic, to 7F regular, 80 up the maker's own."""

    object_id: int
    value: bytes

    @property
    def name(self) -> str:
        """What the standard calls it, in lower case, or its number."""
        if self.object_id < len(OBJECT_NAMES):
            return OBJECT_NAMES[self.object_id]
        return f"object 0x{self.object_id:02X}"

    @property
    def text(self) -> str:
        """The value as text; bytes outside ASCII are shown as escapes."""
        return self.value.decode("ascii", errors="backslashreplace").strip("\x00 ")


@dataclass(frozen=True, slots=True)
class DeviceIdentification:
    """Objects of one reply, in order; `next_object_id` is where to go on if `more_follows`."""

    conformity_level: int
    more_follows: bool
    next_object_id: int
    objects: tuple[IdentificationObject, ...]


@dataclass(frozen=True, slots=True)
class ReadDeviceIdentification:
    """Ask for identification objects from `object_id` on, or for that one object.

    Raises:
        ValueError: The object id is no byte.
    """

    read_code: ReadCode = ReadCode.BASIC
    object_id: int = 0

    def __post_init__(self) -> None:
        if not 0 <= self.object_id <= 0xFF:
            raise ValueError(f"object id {self.object_id} is outside 0 to 255")

    @property
    def function_code(self) -> int:
        """0x2B."""
        return FUNCTION_CODE

    @property
    def effect(self) -> Effect:
        """Diagnoses."""
        return Effect.DIAGNOSES

    def pdu(self) -> bytes:
        """Function, MEI type, read code, object."""
        return bytes([FUNCTION_CODE, MEI_TYPE, self.read_code, self.object_id])

    def reply_length(self, so_far: bytes) -> ReplyLength:
        """A header of seven bytes, then as many objects as it says, each with its own length."""
        if len(so_far) < HEADER_BYTES:
            return AtLeast(HEADER_BYTES)
        needed = HEADER_BYTES
        for _ in range(so_far[6]):
            if len(so_far) < needed + 2:
                return AtLeast(needed + 2)
            needed += 2 + so_far[needed + 1]
        return KnownLength(needed)

    def parse_reply(self, pdu: bytes) -> DeviceIdentification:
        """Return the objects of this reply."""
        require_function(pdu, FUNCTION_CODE)
        _require_header(pdu, self.read_code)
        objects = _objects(pdu)
        if self.read_code is ReadCode.ONE_OBJECT and [one.object_id for one in objects] != [self.object_id]:
            raise WrongReply(
                WrongReplyReason.OTHER_REGISTER_ADDRESS,
                f"asked for object 0x{self.object_id:02X} alone, the reply brings others",
            )
        return DeviceIdentification(pdu[3], pdu[4] == 0xFF, pdu[5], objects)


def _require_header(pdu: bytes, read_code: ReadCode) -> None:
    if len(pdu) < HEADER_BYTES:
        raise WrongReply(WrongReplyReason.NOT_A_LEGAL_REPLY, "the reply ends inside its header of seven bytes")
    if pdu[1] != MEI_TYPE:
        raise WrongReply(WrongReplyReason.OTHER_SUB_FUNCTION, f"asked for MEI type 0E, answered for {pdu[1]:02X}")
    if pdu[2] != read_code:
        raise WrongReply(
            WrongReplyReason.OTHER_SUB_FUNCTION, f"asked with read code {read_code:02X}, answered for {pdu[2]:02X}"
        )
    if pdu[3] not in _CONFORMITY_LEVELS:
        raise WrongReply(WrongReplyReason.NOT_A_LEGAL_REPLY, f"conformity level {pdu[3]:02X} is none of the standard")
    if pdu[4] not in (0x00, 0xFF):
        raise WrongReply(WrongReplyReason.NOT_A_LEGAL_REPLY, f"more follows is 00 or FF, not {pdu[4]:02X}")


def _objects(pdu: bytes) -> tuple[IdentificationObject, ...]:
    objects: list[IdentificationObject] = []
    at = HEADER_BYTES
    for _ in range(pdu[6]):
        end = at + 2 + (pdu[at + 1] if at + 1 < len(pdu) else 0)
        if at + 2 > len(pdu) or end > len(pdu):
            raise WrongReply(WrongReplyReason.BYTE_COUNT_DISAGREES, "an object ends beyond the reply")
        objects.append(IdentificationObject(pdu[at], pdu[at + 2 : end]))
        at = end
    if at != len(pdu):
        raise WrongReply(
            WrongReplyReason.BYTE_COUNT_DISAGREES, f"{len(pdu) - at} bytes follow the last of {pdu[6]} objects"
        )
    return tuple(objects)


def parse_request(pdu: bytes) -> ReadDeviceIdentification:
    """Return the request that these bytes are.

    Raises:
        ValueError: Another MEI type, a reserved read code, or a wrong length.
    """
    if len(pdu) != 4 or pdu[1] != MEI_TYPE:
        raise ValueError("a request for identification has 4 bytes from its function code on and MEI type 0E")
    return ReadDeviceIdentification(ReadCode(pdu[2]), pdu[3])

"""Bytes of one's own as typed, and the frame that they mean; or one sentence why they mean none. Plain Python."""

from __future__ import annotations

import re
from dataclasses import dataclass

from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, LARGEST_ADU_BYTES
from buswalk.domain.modbus.crc16 import crc16
from buswalk.domain.modbus.custom_frame import CheckSum, framed
from buswalk.domain.modbus.effects import effect_of
from buswalk.domain.modbus.functions.table import function_row, function_words
from buswalk.domain.modbus.request import Effect

CHECK_SUMS = (CheckSum.RIGHT, CheckSum.WRONG, CheckSum.AS_TYPED)
CHECK_SUM_WORDS = ("CRC right", "CRC wrong on purpose", "CRC as typed")
LONGEST_WAIT_S = 60.0
_CRC_BYTES = 2
_PARTS = re.compile(r"[\s,;]+")


class NotAFrame(Exception):
    """What was typed is no frame. Its text is one sentence: what, where, what to do."""


@dataclass(frozen=True, slots=True)
class FrameForm:
    """As typed and chosen."""

    typed: str = ""
    check_sum: CheckSum = CheckSum.RIGHT
    wait: str = "1"


def frame_of(form: FrameForm) -> bytes:
    """Return every byte that would leave. Raises NotAFrame."""
    data = _bytes_of(form.typed)
    added = 0 if form.check_sum is CheckSum.AS_TYPED else _CRC_BYTES
    least, most = 4 - added, LARGEST_ADU_BYTES - added
    if len(data) < least:
        what = "address, function and the two bytes of the CRC" if not added else "address and function"
        raise NotAFrame(f"Bytes: {len(data)} are too few for a frame; write {what} at least.")
    if len(data) > most:
        raise NotAFrame(f"Bytes: {len(data)} are more than a frame can have; write {most} at most.")
    return framed(data, form.check_sum)


def _bytes_of(text: str) -> bytes:
    pieces = [one for one in _PARTS.split(text.strip()) if one]
    if not pieces:
        raise NotAFrame("Bytes: nothing is typed yet; write address, function, data in hex, such as 0B 03 00 00 00 01.")
    found = bytearray()
    for place, piece in enumerate(pieces, start=1):
        plain = piece[2:] if piece[:2].lower() == "0x" else piece
        if not plain or len(plain) % 2 or not all(sign in "0123456789abcdefABCDEF" for sign in plain):
            raise NotAFrame(f"Bytes: number {place}, '{piece}', is no byte; write two hex figures each, such as 0B.")
        found += bytes.fromhex(plain)
    return bytes(found)


def wait_s_of(text: str) -> float:
    """Return how long a reply is waited for. Raises NotAFrame."""
    plain = text.strip().removesuffix("s").strip().replace(",", ".")
    try:
        seconds = float(plain)
    except ValueError:
        seconds = -1.0
    if not 0.0 < seconds <= LONGEST_WAIT_S:
        raise NotAFrame(f"Wait: '{text.strip()}' cannot be; write seconds above 0 and up to {LONGEST_WAIT_S:.0f}.")
    return seconds


def meaning_of(frame: bytes, setting: str) -> str:
    """Return to whom it goes, what it asks for by the standard, and at which setting."""
    whom = "all devices at once" if frame[0] == BROADCAST_ADDRESS else str(frame[0])
    if frame[0] > 247:
        whom = f"{frame[0]}, which is no server's"
    code = frame[1]
    named = function_words(code) if function_row(code) is not None else "not of the standard"
    layout = "" if _is_standard(frame) else ", content of its own"
    check = "CRC right" if crc16(frame) == 0 else "CRC wrong"
    return f"To {whom}: function {code:02X}, {named}{layout}; {check}; at {setting}."


def _is_standard(frame: bytes) -> bool:
    row = function_row(frame[1])
    if row is None:
        return False
    try:
        return row.parse_request(frame[1:-_CRC_BYTES]).pdu() == frame[1:-_CRC_BYTES]
    except ValueError:
        return False


def needs_second(frame: bytes) -> str:
    """Return what must be confirmed apart: that it goes to all, or silences or wipes; empty for nothing."""
    if frame[0] == BROADCAST_ADDRESS:
        return "I know who is on this line: all devices take it, and none answers."
    if effect_of(frame[1:-_CRC_BYTES]) is Effect.DISTURBS:
        return "I accept that it may silence or restart the device, or wipe its counters."
    return ""

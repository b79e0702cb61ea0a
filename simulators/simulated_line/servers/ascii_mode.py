"""ASCII mode: colon, hex digits, LRC, carriage return and line feed (Serial Line V1.02, 2.5.2)."""

from __future__ import annotations


def ascii_frame(body: bytes) -> bytes:
    """Return the text frame of address and PDU; the LRC is the two's complement of their sum (6.2.1)."""
    lrc = -sum(body) & 0xFF
    return b":" + (body + bytes((lrc,))).hex().upper().encode("ascii") + b"\r\n"


def pdu_of_ascii(frame: bytes) -> bytes | None:
    """Return the PDU of a text frame, or None if it is none or its LRC is wrong."""
    if not frame.startswith(b":") or not frame.endswith(b"\r\n"):
        return None
    try:
        body = bytes.fromhex(frame[1:-2].decode("ascii"))
    except ValueError:
        return None
    if len(body) < 3 or sum(body) & 0xFF:
        return None
    return body[1:-1]

"""Checks that the strict parsers share. Each raises `WrongReply` with its reason in words."""

from __future__ import annotations

from buswalk.domain.modbus.request import WrongReply, WrongReplyReason


def require_function(pdu: bytes, function_code: int) -> None:
    """Refuse an empty PDU and one of another function."""
    if not pdu:
        raise WrongReply(WrongReplyReason.NOT_A_LEGAL_REPLY, "the reply has no function code")
    if pdu[0] != function_code:
        raise WrongReply(
            WrongReplyReason.OTHER_FUNCTION,
            f"asked with function {function_code:02X}, answered with function {pdu[0]:02X}",
        )


def require_length(pdu: bytes, pdu_bytes: int) -> None:
    """Refuse a PDU of another length than the standard's."""
    if len(pdu) != pdu_bytes:
        raise WrongReply(
            WrongReplyReason.NOT_A_LEGAL_REPLY,
            f"this reply has {pdu_bytes} bytes from its function code on, not {len(pdu)}",
        )


def require_byte_count(pdu: bytes, expected: int) -> bytes:
    """Refuse a byte count that disagrees with the bytes, then one that was not asked for; return the data."""
    if len(pdu) < 2:
        raise WrongReply(WrongReplyReason.NOT_A_LEGAL_REPLY, "the reply ends before its byte count")
    if pdu[1] != len(pdu) - 2:
        raise WrongReply(
            WrongReplyReason.BYTE_COUNT_DISAGREES,
            f"the byte count says {pdu[1]}, and {len(pdu) - 2} bytes follow",
        )
    if pdu[1] != expected:
        raise WrongReply(
            WrongReplyReason.OTHER_QUANTITY,
            f"the quantity asked for makes {expected} bytes, the reply brings {pdu[1]}",
        )
    return pdu[2:]


def require_echoed_word(pdu: bytes, offset: int, expected: int, reason: WrongReplyReason, what: str) -> None:
    """Refuse a confirmation whose 16-bit field at `offset` differs from the request's."""
    seen = int.from_bytes(pdu[offset : offset + 2], "big")
    if seen != expected:
        raise WrongReply(reason, f"{what} {expected} was sent, the reply confirms {seen}")

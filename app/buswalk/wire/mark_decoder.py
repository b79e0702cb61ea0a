"""Undoes the escapes of a POSIX terminal with PARMRK: FF FF is FF, FF 00 x is x marked. Pure, safe at every cut.

The system does not say whether parity or framing failed, so such a byte is DAMAGED. FF 00 00 is a break or a damaged
byte 00; with all bits low, the usual reading is a break (termios, general terminal interface).
"""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.arrival import ByteMark, LineMark

ESCAPE = 0xFF
MARKED = 0x00


@dataclass(frozen=True, slots=True)
class Decoded:
    """Bytes as they were on the line, and the marks on them."""

    data: bytes
    marks: tuple[ByteMark, ...]


class MarkDecoder:
    """Takes what the system gave, in pieces of any size."""

    def __init__(self) -> None:
        self._held = b""

    @property
    def is_holding(self) -> bool:
        """Whether part of an escape waits for its rest."""
        return bool(self._held)

    def feed(self, raw: bytes) -> Decoded:
        """Return what is complete; an escape cut in two waits for its rest."""
        raw = self._held + raw
        self._held = b""
        if ESCAPE not in raw:
            return Decoded(raw, ())
        data = bytearray()
        marks: list[ByteMark] = []
        at = 0
        while at < len(raw):
            if raw[at] != ESCAPE:
                data.append(raw[at])
                at += 1
                continue
            rest = raw[at + 1 : at + 3]
            if not rest or (rest[0] == MARKED and len(rest) < 2):
                self._held = raw[at:]
                break
            if rest[0] == MARKED:
                marks.append(ByteMark(len(data), LineMark.DAMAGED if rest[1] else LineMark.BREAK))
                data.append(rest[1])
                at += 3
            else:
                # FF before anything else is no escape that is known: both bytes are kept as they came.
                data.append(ESCAPE)
                at += 2 if rest[0] == ESCAPE else 1
        return Decoded(bytes(data), tuple(marks))

    def forget(self) -> None:
        """The port was set anew: half an escape is void."""
        self._held = b""

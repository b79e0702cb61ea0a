"""How characters are sent on a serial line: speed, parity, stop bits."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import Enum

LOWEST_BAUD = 50
HIGHEST_BAUD = 4_000_000
_FRAMING = re.compile(r"([78])([NEOneo])([12])")


class Parity(Enum):
    """The parity bit of a character; the value is the letter of the usual notation."""

    NONE = "N"
    EVEN = "E"
    ODD = "O"


@dataclass(frozen=True, slots=True, order=False)
class SerialSettings:
    """Speed and framing of a line.

    RTU characters have eight data bits (Serial Line V1.02, 2.5.1); seven are allowed here because
    ASCII mode uses them (2.5.2) and a device in that mode must be recognised.

    Raises:
        ValueError: A speed outside 50 to 4 000 000 baud, or data or stop bits that no UART has.
    """

    baud_rate: int
    parity: Parity
    stop_bits: int
    data_bits: int = 8

    def __post_init__(self) -> None:
        if not LOWEST_BAUD <= self.baud_rate <= HIGHEST_BAUD:
            raise ValueError(f"{self.baud_rate} baud is outside {LOWEST_BAUD} to {HIGHEST_BAUD}")
        if self.stop_bits not in (1, 2):
            raise ValueError(f"{self.stop_bits} stop bits: a character has one or two")
        if self.data_bits not in (7, 8):
            raise ValueError(f"{self.data_bits} data bits: a character here has seven or eight")

    @classmethod
    def of(cls, baud_rate: int, framing: str) -> SerialSettings:
        """Build settings from a speed and a framing such as `8E1`.

        Raises:
            ValueError: The framing is not data bits 7 or 8, parity N, E or O, stop bits 1 or 2.
        """
        matched = _FRAMING.fullmatch(framing)
        if matched is None:
            raise ValueError(
                f"framing '{framing}' cannot be: write data bits 7 or 8, parity N, E or O, "
                "stop bits 1 or 2, such as 8E1"
            )
        data_bits, parity, stop_bits = matched.groups()
        return cls(baud_rate, Parity(parity.upper()), int(stop_bits), int(data_bits))

    @property
    def framing(self) -> str:
        """The framing as the trade writes it, such as `8E1`."""
        return f"{self.data_bits}{self.parity.value}{self.stop_bits}"

    @property
    def bits_per_character(self) -> int:
        """Start, data, parity if there is one, and stop bits."""
        return 1 + self.data_bits + (self.parity is not Parity.NONE) + self.stop_bits

    @property
    def bit_s(self) -> float:
        """Length of one bit in seconds."""
        return 1.0 / self.baud_rate

    @property
    def character_s(self) -> float:
        """Length of one character, start bit to last stop bit, in seconds."""
        return self.bits_per_character / self.baud_rate

    def __str__(self) -> str:
        return f"{self.baud_rate} {self.framing}"

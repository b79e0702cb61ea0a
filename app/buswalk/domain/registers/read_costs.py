"""What one read costs in seconds, from the settings of the line and what was measured on the device."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.registers.tables import Table

REQUEST_BYTES = 8
"""Address, function, start, quantity, CRC (Application V1.1b3, 6.1 to 6.4; Serial Line V1.02, 2.5.1)."""
REPLY_BYTES = 5
"""Address, function, byte count, CRC."""
USUAL_TURNAROUND_S = 0.01
"""Until something was measured (judgement, no source)."""


@dataclass(frozen=True, slots=True)
class ReadCosts:
    """What a read costs.

    Attributes:
        character_s: Of one character; 0 where the port spends no wire time.
        beside_s: All that every exchange costs beside its characters: turnaround, adapter, silences, gaps.
        register_s: What the device takes for each register asked, beside the characters; 16 bits count as one.
    """

    character_s: float
    beside_s: float
    register_s: float = 0.0

    def __post_init__(self) -> None:
        if min(self.character_s, self.beside_s, self.register_s) < 0.0:
            raise ValueError("no cost is below zero")

    def exchange_s(self, table: Table, quantity: int) -> float:
        """Return what one read of so many addresses costs."""
        return self.of_bytes_s(frame_bytes(table, quantity))

    def of_bytes_s(self, byte_count: int) -> float:
        """Return what a read costs whose frames have so many bytes together."""
        return byte_count * self.character_s + self.beside_s + self.thinking_s(byte_count)

    def thinking_s(self, byte_count: int) -> float:
        """Return what the device takes for the registers of such a read; 16 bits count as one."""
        return max(0, byte_count - REQUEST_BYTES - REPLY_BYTES) / 2 * self.register_s


def frame_bytes(table: Table, quantity: int) -> int:
    """Return the bytes of request and reply together."""
    data = (quantity + 7) // 8 if table.holds_bits else 2 * quantity
    return REQUEST_BYTES + REPLY_BYTES + data


def expected_costs(
    settings: SerialSettings, traits: LineTraits, minimum_gap_s: float = 0.0, turnaround_s: float = USUAL_TURNAROUND_S
) -> ReadCosts:
    """Return what a read will cost before anything was measured.

    After a reply the line must have been silent for t3.5, which we know only once the port's latency has passed too.
    """
    silence_s = max(inter_frame_delay_s(settings) + traits.latency_s, minimum_gap_s)
    character_s = settings.character_s if traits.spends_wire_time else 0.0
    return ReadCosts(character_s, turnaround_s + traits.latency_s + silence_s)

"""What an adapter does and cannot do: every parameter of it that a scenario can set."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.line_traits import MarkReporting
from simulated_line.pair.uart import Recovery


@dataclass(frozen=True, slots=True)
class AdapterHabits:
    """All of it; the defaults are a good adapter.

    Attributes:
        start_delay_s: Longest time between write and first start bit; drawn evenly from 0.
        hears_itself: Echo. Otherwise it is deaf from its first start bit until it releases the line.
        damaged_echo_rate: Chance per echoed byte that it comes back changed.
        sends_second_stop_bit: False for one that sends a single one whatever is asked.
        latency_step_s: Received bytes are handed over on this grid of time.
        lump_bytes: Or as soon as so many wait; 0 for no such limit.
        release_late_characters: How long it goes on driving after its last stop bit.
        release_early_characters: Or how much too soon it lets go, cutting its own tail.
        marks: How it reports framing and parity errors.
        settings_change_s: What a change of settings costs.
        supplies_bias: While it is plugged in, the line is biased.
        unplugged_from_s: When its plug is pulled; infinity for never.
        back_after_s: How long until it is back, under `back_as` if that is given; infinity for never.
        busy_until_s: Until then another program holds the port; infinity for always.
        reader_stall_s: The computer reads late by up to this much; drawn evenly from 0.
    """

    start_delay_s: float = 0.0
    hears_itself: bool = False
    damaged_echo_rate: float = 0.0
    sends_second_stop_bit: bool = True
    latency_step_s: float = 0.001
    lump_bytes: int = 0
    release_late_characters: float = 0.1
    release_early_characters: float = 0.0
    marks: MarkReporting = MarkReporting.PER_BYTE
    recovery: Recovery = Recovery.NEXT_EDGE
    settings_change_s: float = 0.002
    supplies_bias: bool = False
    is_swapped: bool = False
    unplugged_from_s: float = float("inf")
    back_after_s: float = float("inf")
    back_as: str = ""
    busy_until_s: float = 0.0
    reader_stall_s: float = 0.0

    def __post_init__(self) -> None:
        times = (self.start_delay_s, self.latency_step_s, self.settings_change_s, self.reader_stall_s)
        if min(times) < 0 or self.lump_bytes < 0:
            raise ValueError("a time or a size of the adapter is not negative")
        if self.release_early_characters and self.release_late_characters:
            raise ValueError("an adapter lets go early or late, not both")

"""What one port can and cannot tell, so that nothing above pretends otherwise."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

ASSUMED_LATENCY_S = 0.020
"""Taken until the latency of adapter and system is asked for or learnt: 16 ms is the default step of a
common bridge family (standards notes, USB serial chip latency timer), with some room."""


class MarkReporting(Enum):
    """How a port reports framing and parity errors."""

    PER_BYTE = "per_byte"
    COUNTED = "counted"
    NOT_AVAILABLE = "not_available"


class Echo(Enum):
    """Whether a port hears its own transmissions."""

    NOT_KNOWN = "not_known"
    HEARD = "heard"
    NOT_HEARD = "not_heard"


class LatencySource(Enum):
    """Where the figure for the latency comes from."""

    ASSUMED = "assumed"
    ASKED = "asked"
    LEARNT = "learnt"
    EXACT = "exact"


@dataclass(frozen=True, slots=True)
class LineTraits:
    """What the port in use carries and reports.

    Attributes:
        carries_speed: False where baud is ignored (socket).
        carries_framing: False where parity and stop bits are ignored (pseudo terminal, socket).
        spends_wire_time: False where bytes pass at once (pseudo terminal, socket): there "very
            early" and echo-by-time mean nothing.
        mark_reporting: How framing and parity errors are told, if at all.
        echo: Whether it hears itself, as far as known when the line was opened.
        latency_s: How late a byte may be handed over after its last bit, beyond reading at once.
        latency_source: Where that figure comes from.
        settings_change_s: What one `apply` of new settings costs.
        is_simulated: True for a line that is not copper: its evidence must never pass for real.
    """

    carries_speed: bool
    carries_framing: bool
    spends_wire_time: bool
    mark_reporting: MarkReporting
    echo: Echo
    latency_s: float
    latency_source: LatencySource
    settings_change_s: float
    is_simulated: bool

    def __post_init__(self) -> None:
        if self.latency_s < 0 or self.settings_change_s < 0:
            raise ValueError("a latency or a cost of time is not negative")

"""Expert settings of a port. The defaults suit adapters that switch direction by themselves, as nearly all do."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Direction(Enum):
    """Who switches the RS-485 driver on and off."""

    HARDWARE = "hardware"
    RTS = "rts"
    """We raise RTS around each transmission; its timing is as good as the system's."""
    KERNEL = "kernel"
    """The driver of the system does it (Linux, few adapters)."""


@dataclass(frozen=True, slots=True)
class PortOptions:
    """How to open a port.

    Attributes:
        direction: Who switches the driver.
        dtr, rts: State of these lines at opening; some adapters take their supply from them.
        low_latency: Ask the system to hand bytes over at once (Linux; changes the adapter until unplugged).
        connect_timeout_s: How long a network port may take to answer.
    """

    direction: Direction = Direction.HARDWARE
    dtr: bool = True
    rts: bool = True
    low_latency: bool = False
    connect_timeout_s: float = 5.0


USUAL_OPTIONS = PortOptions()
"""What suits nearly every adapter."""

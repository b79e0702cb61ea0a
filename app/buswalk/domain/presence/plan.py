"""Whom a presence watch asks."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.watching.plan import WatchedDevice


@dataclass(frozen=True, slots=True)
class PresencePlan:
    """Whom to ask, in the order of the cable.

    Attributes:
        also_at: Addresses with other settings, to be tried where one is silent at its own: a device that finds its
            speed by itself answers where the line was spoken to last.
        listen_s: Before the first request: another client must be known before it is disturbed.
        may_ask_living_line: The user has said that another client may be disturbed.

    Raises:
        ValueError: Nobody to ask, or one device twice.
    """

    devices: tuple[WatchedDevice, ...]
    also_at: tuple[tuple[int, SerialSettings], ...] = ()
    listen_s: float = 0.0
    may_ask_living_line: bool = False

    def __post_init__(self) -> None:
        if not self.devices:
            raise ValueError("somebody has to be asked")
        if len({(one.server_address, one.settings) for one in self.devices}) < len(self.devices):
            raise ValueError("a device is asked once at each of its settings")
        if self.listen_s < 0.0:
            raise ValueError("no time is below zero")

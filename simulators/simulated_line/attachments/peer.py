"""The seam between a site at real pace and the program at its other end: what that program does, in order."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol, TypeAlias

from buswalk.domain.line.arrival import Mark
from buswalk.domain.line.serial_settings import SerialSettings


@dataclass(frozen=True, slots=True)
class Send:
    """It wants bytes sent."""

    data: bytes


@dataclass(frozen=True, slots=True)
class Apply:
    """It sets speed and framing."""

    settings: SerialSettings


@dataclass(frozen=True, slots=True)
class ApplySpeed:
    """It sets a speed; what framing it set cannot be seen."""

    baud_rate: int


@dataclass(frozen=True, slots=True)
class PurgeReceived:
    """It wants nothing more of what was received."""


@dataclass(frozen=True, slots=True)
class PurgeWaiting:
    """It wants what is not yet on the line not to be sent."""


Act: TypeAlias = Send | Apply | ApplySpeed | PurgeReceived | PurgeWaiting


class Peer(Protocol):
    """The other program's end."""

    @property
    def carries_framing(self) -> bool:
        """Whether parity and stop bits that the program sets can be seen here."""

    def settings(self) -> SerialSettings:
        """Speed and framing set when it began."""

    def descriptors(self) -> list[int]:
        """File descriptors that become readable when something is to be done."""

    def acts(self) -> tuple[Act, ...]:
        """Return what it has done since the last look, in order; hands over what it could not take before."""

    def deliver(self, data: bytes, marks: tuple[Mark, ...]) -> None:
        """Hand it bytes that were received."""

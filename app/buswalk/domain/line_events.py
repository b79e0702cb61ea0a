"""What happens on the line while jobs run, as events. Frozen: once said, never changed."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Protocol, TypeAlias

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.exchange import Exchange


@dataclass(frozen=True, slots=True)
class ExchangeDone:
    """An exchange has ended."""

    exchange: Exchange


@dataclass(frozen=True, slots=True)
class StrayArrival:
    """Bytes that came between exchanges; no request waited for them."""

    arrival: Arrival


class Credit(Enum):
    """How sure it is which request a late reply answers."""

    CREDITED = "credited"
    DOUBTFUL = "doubtful"
    """More than one open request could have it."""


@dataclass(frozen=True, slots=True)
class LateReply:
    """A whole reply that came after its exchange had been closed.

    Attributes:
        exchange_numbers: Exchanges whose answer it can be, the likeliest first.
        adu: Its frame.
        at_s: When it was handed over, line time.
    """

    server_address: int
    exchange_numbers: tuple[int, ...]
    adu: bytes
    at_s: float
    credit: Credit


@dataclass(frozen=True, slots=True)
class SettingsApplied:
    """Speed and framing of our side are these from now on."""

    settings: SerialSettings
    at_s: float


@dataclass(frozen=True, slots=True)
class OtherClientNoticed:
    """Bytes came at another setting than another client's, when its request to this server was due: taken for it."""

    server_address: int
    at_s: float


LineEvent: TypeAlias = ExchangeDone | StrayArrival | LateReply | SettingsApplied | OtherClientNoticed


class EventSink(Protocol):
    """Takes each event as it happens; must not wait."""

    def __call__(self, event: LineEvent) -> None:
        """Take one event."""

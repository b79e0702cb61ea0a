"""One exchange: what was asked, when, every byte that came, and what it amounts to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.modbus.observation import Observation
from buswalk.domain.modbus.outcome import NotSent, Outcome
from buswalk.domain.modbus.request import Request


@dataclass(frozen=True, slots=True)
class Turnaround:
    """End of our request to the first bit of the reply, as a range in seconds.

    `not_less_than_s` may be below zero where times are unsure.
    """

    not_less_than_s: float
    not_more_than_s: float

    @property
    def is_before_request_ended(self) -> bool:
        """Whether the bytes surely began before our request had ended: they answer something else, or nothing."""
        return self.not_more_than_s < 0.0


@dataclass(frozen=True, slots=True)
class NoTurnaround:
    """Nothing came whose time could be taken."""


TurnaroundSeen: TypeAlias = Turnaround | NoTurnaround


@dataclass(frozen=True, slots=True)
class NeverSent:
    """The request did not leave; `at_s` is when it was given up."""

    at_s: float


@dataclass(frozen=True, slots=True)
class Exchange:
    """One request and all that followed until the next could be sent. Never changed once recorded.

    Attributes:
        number: Counts from 1 within a session; the same in every output.
        request_adu: The bytes sent, address and CRC included.
        arrivals: Every byte that came from the sending to `ended_s`, echo included, in order.
        ended_s: When it was known what came, in line time.
    """

    number: int
    server_address: int
    request: Request
    request_adu: bytes
    settings: SerialSettings
    sent: Sent | NeverSent
    arrivals: tuple[Arrival, ...]
    ended_s: float
    outcome: Outcome
    observations: tuple[Observation, ...]
    turnaround: TurnaroundSeen

    def __post_init__(self) -> None:
        if isinstance(self.sent, NeverSent) is not isinstance(self.outcome, NotSent):
            raise ValueError("an exchange that was not sent has the outcome NotSent, and no other has it")

    @property
    def received(self) -> bytes:
        """All bytes that came, in order."""
        return b"".join(arrival.data for arrival in self.arrivals)

"""What reading a self-describing map says. Frozen events."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.registers.sunspec.chain import Chain, LocatedModel


@dataclass(frozen=True, slots=True)
class NoChain:
    """The marker stands at none of these register addresses."""

    server_address: int
    settings: SerialSettings
    bases: tuple[int, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class ChainRead:
    """The chain of models was walked."""

    server_address: int
    settings: SerialSettings
    chain: Chain
    at_s: float


@dataclass(frozen=True, slots=True)
class ModelRead:
    """The registers of one model, number and length first; fewer than it has where a part could not be read."""

    server_address: int
    settings: SerialSettings
    model: LocatedModel
    words: tuple[int, ...]
    at_s: float


SunSpecEvent: TypeAlias = NoChain | ChainRead | ModelRead

"""What a presence watch says beside its exchanges. Frozen events; a round is one of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.client_harm import OtherClientSuffers
from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.search.events import CycleLeavesNoRoom, GoesBetween, LivingLine


@dataclass(frozen=True, slots=True)
class PresenceBase:
    """Who answers at the beginning: against this is told who went quiet.

    Attributes:
        answering, silent: Addresses, in the order of the cable.
    """

    answering: tuple[int, ...]
    silent: tuple[int, ...]
    at_s: float


@dataclass(frozen=True, slots=True)
class WentQuiet:
    """A device that answered was silent in two rounds.

    Attributes:
        since_s: When the first of the unanswered requests was sent, line time.
    """

    server_address: int
    settings: SerialSettings
    since_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class CameBack:
    """A quiet device answers again, or one that was silent from the beginning answers now.

    Attributes:
        after_s: Since the first unanswered request.
    """

    server_address: int
    settings: SerialSettings
    after_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class AnsweredLate:
    """A device answered when its wait was over: it is there, and is given more time from now on."""

    server_address: int
    settings: SerialSettings
    took_s: float
    at_s: float


@dataclass(frozen=True, slots=True)
class PresenceRound:
    """All have been asked once.

    Attributes:
        number: From 1, the first after the base.
        answering, quiet: How many of them.
        slow: Addresses that are asked in every second round only, as they need a long wait or pause.
    """

    number: int
    took_s: float
    answering: int
    quiet: int
    slow: tuple[int, ...]
    at_s: float


PresenceEvent: TypeAlias = (
    ListeningEnded
    | LivingLine
    | GoesBetween
    | CycleLeavesNoRoom
    | OtherClientSuffers
    | PresenceBase
    | WentQuiet
    | CameBack
    | AnsweredLate
    | PresenceRound
)

"""Waits until a lost port is back: unplugged adapters are plugged in again, servers are started again."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Generic, TypeVar

from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.protocols import Clock

LOOK_EVERY_S = 0.5
Opened = TypeVar("Opened")


@dataclass(frozen=True, slots=True)
class Back(Generic[Opened]):
    """The port is open again."""

    opened: Opened
    after_s: float


@dataclass(frozen=True, slots=True)
class StaysAway:
    """It was looked for until the end, in vain.

    Attributes:
        sentence: Why it could not be opened when last tried; empty if no time was given for a try.
    """

    sentence: str


def wait_for_return(open_again: Callable[[], Opened], clock: Clock, within_s: float) -> Back[Opened] | StaysAway:
    """Try again every half second of line time until the port opens or the time is over.

    `open_again` raises `PortError` while the port is not back, for whatever reason: names appear before they may be
    used. A clock that looks at the stop request ends the wait with `Stopped`.
    """
    began_s = clock.now_s()
    sentence = ""
    while clock.now_s() < began_s + within_s:
        clock.sleep_until(min(began_s + within_s, clock.now_s() + LOOK_EVERY_S))
        try:
            return Back(open_again(), clock.now_s() - began_s)
        except PortError as error:
            sentence = error.sentence
    return StaysAway(sentence)

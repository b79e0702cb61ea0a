"""What `switches` says to machines."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class BoardListed:
    """A board that is known; `controls` are its levers and dials in the order of a pattern."""

    name: str
    title: str
    controls: tuple[str, ...]
    lowest: int
    highest: int
    is_own: bool


@dataclass(frozen=True, slots=True)
class Setting:
    """An address and how it is set.

    Attributes:
        controls_on: Labels of the levers that are ON.
        to_move: Labels of what is to be moved from the present position.
        others: What levers say that are not for the address, in words.
    """

    board: str
    server_address: int
    pattern: str
    hexadecimal: str
    binary: str
    controls_on: tuple[str, ...]
    to_move: tuple[str, ...]
    others: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NotPossible:
    """An address that cannot be set, or a pattern that gives none; `nearest` are addresses or one pattern."""

    board: str
    sentence: str
    nearest: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Mistake:
    """One explanation, likeliest first.

    Attributes:
        kind: Of a pair both kinds, with ` + ` between.
        share: 0 to 1.
        is_tied: Whether it explains as well as the first.
        is_open: Whether it would explain every address.
        pattern: What is set, if this is so; `should_be` what is to be set, empty where it cannot.
    """

    kind: str
    share: float
    is_tied: bool
    is_open: bool
    pattern: str
    should_be: str
    answers_at: int
    headline: str
    words: str


@dataclass(frozen=True, slots=True)
class SheetWritten:
    """A sheet of labels."""

    file: str
    labels: int
    pages: int

"""What the view Ping shows, finished. Frozen values, no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.search_state import Action, ChoiceState
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class ResultState:
    """The last exchange, to be read from three metres.

    Attributes:
        kind: None while nothing was asked.
    """

    address: str
    name: str
    about: str
    kind: OutcomeKind | None
    exception_code: int
    word: str
    note: str
    tone: Tone


@dataclass(frozen=True, slots=True)
class Slot:
    """One exchange in the history: how many slots before now, and what came of it."""

    back: int
    kind: OutcomeKind
    exception_code: int = 0


@dataclass(frozen=True, slots=True)
class HistoryMark:
    """A mark in the history, at the slot in which it was made; where rows are packed only its number stands there."""

    back: int
    number: int
    words: str


@dataclass(frozen=True, slots=True)
class HistoryState:
    """The last minute.

    Attributes:
        slots_a_row: At 10 and 5 a second a row holds ten seconds, at 1 a second the whole minute.
        row_heads: What stands at the left of each row, the newest row last.
    """

    title: str
    counts: str
    slots_a_row: int
    rows: int
    seconds_a_row: float
    row_heads: tuple[str, ...]
    slots: tuple[Slot, ...]
    marks: tuple[HistoryMark, ...]


@dataclass(frozen=True, slots=True)
class Counted:
    """One kind with its count and its share with limit."""

    kind: OutcomeKind
    count: str
    share: str


@dataclass(frozen=True, slots=True)
class CountsState:
    """Since the ping began: asked = the rest."""

    title: str
    aside: str
    rows: tuple[Counted, ...]
    sentences: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class AskState:
    """Whom to ask, in which setting, how often; `beside` is what to know where another client was heard."""

    devices: ChoiceState
    settings: ChoiceState
    rates: ChoiceState
    typed: str
    problem: str
    wait: str
    beside: str = ""


@dataclass(frozen=True, slots=True)
class ToneLine:
    """What is heard for a kind."""

    kind: OutcomeKind
    words: str


@dataclass(frozen=True, slots=True)
class SoundState:
    """Whether tones are wanted, what they mean, why nothing can be heard."""

    is_wanted: bool
    lines: tuple[ToneLine, ...]
    note: str


@dataclass(frozen=True, slots=True)
class PingState:
    """The whole view."""

    sentence: str
    sentence_tone: Tone
    main: Action
    others: tuple[Action, ...]
    result: ResultState
    history: HistoryState
    counts: CountsState
    ask: AskState
    sound: SoundState
    steps_title: str
    steps: tuple[tuple[str, str], ...]

"""What the view Who is quiet shows, finished. Frozen values, no Qt."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.address_states import AddressState
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.search_state import Action
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class QuietName:
    """One that went quiet, in letters to be read from two metres.

    Attributes:
        spoken: What a reader says of it.
    """

    address: int
    name: str
    spoken: str


@dataclass(frozen=True, slots=True)
class NamesState:
    """Who went quiet.

    Attributes:
        names: In the order of the cable; empty while nobody is quiet.
        instead: What stands there while nobody is, in large letters; its shape, if it has one.
        below: A sentence under it.
    """

    title: str
    aside: str
    names: tuple[QuietName, ...]
    instead: str
    instead_kind: OutcomeKind | None
    below: str


@dataclass(frozen=True, slots=True)
class ChangeRow:
    """Something that has changed."""

    time: str
    words: str
    kind: OutcomeKind | None = None
    is_now: bool = False


@dataclass(frozen=True, slots=True)
class AnswerRow:
    """One that still answers."""

    address: int
    state: AddressState
    name: str
    last: str


@dataclass(frozen=True, slots=True)
class CablePlace:
    """One device along the cable.

    Attributes:
        is_quiet: It went quiet; else `is_answering`, or it was silent from the beginning.
        spoken: What a reader says of it.
    """

    address: int
    is_answering: bool
    is_quiet: bool
    spoken: str


@dataclass(frozen=True, slots=True)
class CableView:
    """The cable with its devices.

    Attributes:
        cut_before: Index of the place before which the cable may be open; -1 where that is not likely.
        words: What it says, in one sentence.
    """

    places: tuple[CablePlace, ...]
    cut_before: int
    words: str


@dataclass(frozen=True, slots=True)
class QuietSound:
    """Whether changes are heard, what the tones mean, why nothing can be heard."""

    is_wanted: bool
    lines: tuple[tuple[OutcomeKind, str], ...]
    note: str


@dataclass(frozen=True, slots=True)
class QuietState:
    """The whole view; `cable` is absent without places, `beside` is empty where no other client was heard."""

    sentence: str
    sentence_tone: Tone
    main: Action
    others: tuple[Action, ...]
    names: NamesState
    changes: tuple[ChangeRow, ...]
    answering_title: str
    answering: tuple[AnswerRow, ...]
    cable: CableView | None
    how: str
    sound: QuietSound
    beside: str = ""

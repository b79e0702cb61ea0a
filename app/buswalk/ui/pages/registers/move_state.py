"""All that the view Move shows, finished: the form of the guided job, and how far it has come. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class MoveTyped:
    """The form as it was typed; speed and framing by their place in the lists."""

    address: str
    speed: int
    framing: int
    writes: str
    confirmed: str
    may_have_company: bool


@dataclass(frozen=True, slots=True)
class MoveState:
    """The form.

    Attributes:
        alone: What is looked at before anything is written.
        places: Where it is looked for afterwards.
        hint: What the list says is to be written, or how it is typed.
        told: Why nothing began, or what was filled in; empty for nothing.
        refusal: Why the job cannot begin; empty if it can.
        cancel: Words of the button that stops; empty while nothing runs.
        has_company: Others were heard: that they may stay is confirmed apart.
    """

    device: str = ""
    alone: str = ""
    address: str = ""
    speeds: tuple[str, ...] = ()
    speed: int = 0
    framings: tuple[str, ...] = ()
    framing: int = 0
    writes: str = ""
    hint: str = ""
    hint_tone: Tone = Tone.INK2
    places: str = ""
    cautions: tuple[str, ...] = ()
    confirm_words: str = ""
    button: str = ""
    refusal: str = ""
    told: str = ""
    told_tone: Tone = Tone.DOUBT
    cancel: str = ""
    has_company: bool = False
    may_have_company: bool = False
    clear_confirmation: int = 0


@dataclass(frozen=True, slots=True)
class MoveStep:
    """One step of the job: what it is, and what came of it, or what it waits for."""

    name: str
    words: str
    tone: Tone = Tone.INK2
    is_done: bool = True


@dataclass(frozen=True, slots=True)
class MoveOutcome:
    """How far the last move has come.

    Attributes:
        sentence: The same in a few words, for the page top.
        headline: What is to be done now, or where the device is.
        rows: The places, each with what came of the last look.
        put_back: Words of the button that fills the form in for the way back; empty where there is none.
    """

    sentence: str = ""
    title: str = "Where it is"
    headline: str = ""
    headline_tone: Tone = Tone.INK
    steps: tuple[MoveStep, ...] = ()
    rows: tuple[Row, ...] = ()
    look_words: str = "Look again"
    look_refusal: str = ""
    put_back: str = ""

"""The question that stands before a write to all devices, or once more to memory that wears. Plain text."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from buswalk.domain.registers.writing.intended import IntendedWrite, SecondConfirmation
from buswalk.domain.registers.writing.second_thoughts import (
    NO_WAY_BACK_WORDS,
    NONE_ANSWERS,
    RAM_INSTEAD,
    WearSoFar,
    all_devices_words,
    wear_words,
)
from buswalk.domain.registers.writing.words import place_words, words_in_place
from buswalk.ui.pages.registers.registers_state import SecondQuestion

TITLES = {
    SecondConfirmation.ALL_DEVICES: "Write to all devices at once?",
    SecondConfirmation.WEARS_MEMORY: "Write once more to memory that wears?",
    SecondConfirmation.NO_WAY_BACK: "Write where there is no way back?",
}


@dataclass(frozen=True, slots=True)
class Weighed:
    """What the question goes by: who is known on the line, and what the place was written so far."""

    known: Sequence[int]
    wear: WearSoFar


def second_question(intended: IntendedWrite, needed: frozenset[SecondConfirmation], weighed: Weighed) -> SecondQuestion:
    """Return what is asked; the gravest thing gives the title and the button."""
    gravest = next(one for one in SecondConfirmation if one in needed)
    sentences = [f"{words_in_place(intended, intended.words)} for {place_words(intended)}."]
    for one in SecondConfirmation:
        if one in needed:
            sentences += _sentences(one, weighed)
    return SecondQuestion(TITLES[gravest], tuple(sentences), _button(gravest, len(weighed.known)))


def _sentences(needed: SecondConfirmation, weighed: Weighed) -> tuple[str, ...]:
    match needed:
        case SecondConfirmation.ALL_DEVICES:
            return all_devices_words(weighed.known), NONE_ANSWERS
        case SecondConfirmation.WEARS_MEMORY:
            return wear_words(weighed.wear), RAM_INSTEAD
        case SecondConfirmation.NO_WAY_BACK:
            return (NO_WAY_BACK_WORDS,)


def _button(gravest: SecondConfirmation, known: int) -> str:
    match gravest:
        case SecondConfirmation.ALL_DEVICES if known > 1:
            return f"Write to all {known} devices"
        case SecondConfirmation.ALL_DEVICES:
            return "Write to all devices"
        case SecondConfirmation.WEARS_MEMORY:
            return "Write once more"
        case SecondConfirmation.NO_WAY_BACK:
            return "Write without way back"

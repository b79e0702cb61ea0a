"""Writes in words for the write box: the four looks, the headline, the list of what was not put back. Plain text."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.registers.writing.events import OldRead, WriteAnswer
from buswalk.domain.registers.writing.intended import KnownPlace
from buswalk.domain.registers.writing.verdict import READ_BACK_AFTER_S, verdict_of
from buswalk.domain.registers.writing.visit_writes import Change, OneWrite
from buswalk.domain.registers.writing.words import place_words, verdict_words, words_in_place
from buswalk.ui.pages.registers.known_writes import KnownWrites
from buswalk.ui.pages.registers.registers_state import StepKind, WriteStep
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone

CAUTIONS_OF_UNLOCKING = (
    "A write changes the plant: something may move, start by itself, or carry mains. "
    "Be sure who is there and that its place is clear.",
    "Local rules and licensed practice come first; this tool knows neither.",
)


def steps_of(write: OneWrite, written_at_s: float | None, now_s: float) -> tuple[WriteStep, ...]:
    """Return the looks that are done and those that are waited for."""
    begun = write.begun
    if written_at_s is None or not begun.intended.can_be_read or write.answer is WriteAnswer.NOT_SENT:
        return ()
    old = begun.old.words if isinstance(begun.old, OldRead) else ()
    steps = []
    for i, after_s in enumerate(READ_BACK_AFTER_S):
        when = f"at {after_s:.0f} s"
        if i < len(write.looks):
            verdict = verdict_of(begun.intended, old, write.looks[: i + 1])
            value = words_in_place(begun.intended, write.looks[i])
            steps.append(WriteStep(StepKind.DONE, when, value, verdict_words(verdict)))
        elif write.is_judged:
            steps.append(WriteStep(StepKind.SKIPPED, when, "–", "not looked at"))
        else:
            left_s = max(0.0, written_at_s + after_s - now_s)
            steps.append(WriteStep(StepKind.WAITING, when, "–", f"waiting, in {left_s:.0f} s"))
    return tuple(steps)


def headline(write: OneWrite, when: str) -> str:
    """Return when what was changed from what to what."""
    begun = write.begun
    old = words_in_place(begun.intended, begun.old.words) if isinstance(begun.old, OldRead) else "not known"
    new = words_in_place(begun.intended, begun.intended.words)
    place = begun.intended.place
    name = (place.point.words or place.point.name) if isinstance(place, KnownPlace) else place_words(begun.intended)
    return f"{when}  {name}: {old} → {new}"


def changes_note(known: KnownWrites, listed: Sequence[Change]) -> str:
    """Return which of the listed places earlier sessions left, and when the last of these was written."""
    earlier = [one.last for one in listed if known.of_session(one.last)]
    if not earlier:
        return ""
    last = earlier[-1]
    which = "It is" if len(listed) == 1 else f"{len(earlier)} of them {'is' if len(earlier) == 1 else 'are'}"
    sessions = "an earlier session" if len(earlier) == 1 else "earlier sessions, the last"
    return f"{which} of {sessions}: written {known.when(last)}, {known.of_session(last)}, '{last.begun.reason}'."


def change_row(change: Change) -> Row:
    """Return one place that does not hold what it held."""
    old = change.first.begun.old
    before = words_in_place(change.intended, old.words) if isinstance(old, OldRead) else "not known"
    now = words_in_place(change.intended, change.last.left_behind)
    return (
        Cell(place_words(change.intended), spoken=place_words(change.intended)),
        Cell(f"{before} → {now}", Tone.DOUBT, Weight.BOLD),
    )

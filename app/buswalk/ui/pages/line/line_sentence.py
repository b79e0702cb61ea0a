"""The sentence of state of the page Line, and the first sentence that anybody reads."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.search.events import Verdict
from buswalk.ui.pages.line.port_desk import DEMO_PORT
from buswalk.ui.pages.line_facts import LineFacts, PortStands
from buswalk.ui.tones import Tone
from buswalk.ui.wording import duration, plural, stamp

RETURN_SAID_FOR_S = 60.0
_TONES = {Verdict.TRAFFIC: Tone.FOREIGN, Verdict.BABBLE: Tone.DOUBT, Verdict.HELD: Tone.FAULT}
FIRST_START = "This is the built-in demo line: a greenhouse on its first day. Open a real port with Ctrl+O."


@dataclass(frozen=True, slots=True)
class Situation:
    """What the sentence is made of.

    Attributes:
        verdict: Of the last time of listening; None if there was none.
        foreign: Foreign frames of the last 60 s.
        answering: How many devices answer, in words.
    """

    facts: LineFacts
    now_s: float
    is_choosing: bool
    has_asked: bool
    is_listening: bool
    verdict: Verdict | None
    foreign: int
    answering: str
    heard_headline: str


def line_sentence(now: Situation) -> tuple[str, Tone]:
    """Return the sentence and its tone."""
    facts = now.facts
    if now.is_choosing:
        return "Opening a port sends nothing. Enter or F5 opens the one that is chosen.", Tone.INK2
    match facts.stands:
        case PortStands.NONE:
            return "No port is open. Opening one sends nothing.", Tone.INK2
        case PortStands.NOT_HAD:
            return "No port is open.", Tone.INK2
        case PortStands.LOST:
            return "Waiting for the port. What was recorded stays here to read.", Tone.INK2
        case PortStands.GIVEN_BACK:
            at = stamp(facts.wall_time, facts.changed_s)
            held = duration(facts.changed_s - facts.held_from_s)
            return f"{facts.port} was given back at {at}: it was held for {held}.", Tone.INK2
        case PortStands.HELD:
            return _held(now)


def _held(now: Situation) -> tuple[str, Tone]:
    facts = now.facts
    back = ""
    if facts.returned_after_s and now.now_s - facts.changed_s < RETURN_SAID_FOR_S:
        back = f"Back after {duration(facts.returned_after_s)}. "
    if now.is_listening:
        return f"{back}{now.heard_headline}.", Tone.INK2
    if now.verdict is not None and now.verdict is not Verdict.SILENT:
        asked = f" {now.answering}" if now.has_asked else ""
        return f"{back}{now.heard_headline}.{asked}", _TONES[now.verdict]
    if not now.has_asked and now.verdict is None:
        return back + _first_words(facts), Tone.INK2
    foreign = f" {plural(now.foreign, 'foreign frame')} heard." if now.foreign else ""
    if not now.has_asked:
        return f"{back}{now.heard_headline}. Nothing asked yet.{foreign}", Tone.INK2
    return f"{back}{now.answering}{foreign}", Tone.INK2


def _first_words(facts: LineFacts) -> str:
    if facts.port == DEMO_PORT:
        return FIRST_START
    if facts.is_simulated:
        return f"This is a simulated line, {facts.port}. Open a real port with Ctrl+O."
    return f"{facts.port} is ours since {stamp(facts.wall_time, facts.held_from_s)}. Listen before anything is asked."

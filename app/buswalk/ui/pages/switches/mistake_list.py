"""Set here, found there, as it is shown: the ranked list, the look that decides, and what to set instead."""

from __future__ import annotations

from buswalk.domain.switches.board import Board, TakesEffect
from buswalk.domain.switches.deciding import deciding_look
from buswalk.domain.switches.explaining import Explained, Explanation
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.mistake_words import (
    another_device_words,
    count_words,
    headlines,
    instead_words,
    look_words,
    tie_words,
    why_words,
)
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.picture import picture_of
from buswalk.domain.switches.setting import moves
from buswalk.ui.pages.switches.block_words import SMALL
from buswalk.ui.pages.switches.entries import Entries
from buswalk.ui.pages.switches.switches_state import ExplainedState, InsteadState, MistakeState
from buswalk.ui.tones import Tone

SHOWN = 5
LIKELY_FROM, POSSIBLE_FROM = 0.60, 0.08


def percent_words(share: float) -> str:
    """Return a share of an explanation: whole percent, never 0 %."""
    return f"{share * 100:.0f} %" if share >= 0.01 else "below 1 %"


def likelihood(share: float) -> str:
    """Return likely, possible or unlikely."""
    if share >= LIKELY_FROM:
        return "likely"
    return "possible" if share >= POSSIBLE_FROM else "unlikely"


def explained_state(entries: Entries, ground: Ground, explained: Explained, turn: Turn, chosen: int) -> ExplainedState:
    """Return the ranked list with one of it chosen."""
    board = ground.board
    pairs = list(zip(explained.explanations, explained.shares, strict=True))
    shown = pairs[:SHOWN]
    rows = [_row(number, board, explained, one, turn) for number, one in enumerate(shown, start=1)]
    rows.append(_another_device(len(rows) + 1, board, explained, turn))
    behind = pairs[SHOWN:]
    at = max(0, min(chosen, len(rows) - 1))
    return ExplainedState(
        intended=entries.intended,
        found=entries.found,
        previous=entries.previous,
        counted=f"{count_words(explained)} Ranked by how often each is met.",
        counted_tone=Tone.INK2,
        look=_look(ground, explained),
        mistakes=tuple(rows),
        chosen=at,
        hidden=_hidden(behind),
        instead=_instead(board, explained, shown[at][0], turn) if at < len(shown) else _leave(explained),
    )


def _hidden(behind: list[tuple[Explanation, float]]) -> str:
    """Return how many more explain it, and a share that none of them reaches."""
    if not behind:
        return ""
    limit = int(max(share for _, share in behind) * 100) + 1
    each = "each " if len(behind) > 1 else ""
    return f"And {len(behind)} more, {each}below {limit} %."


def _look(ground: Ground, explained: Explained) -> str:
    best = explained.best
    if len(best) < 2:
        return ""
    return f"{tie_words(explained)} {look_words(ground.board, deciding_look(ground, best[0], best[1]))}"


def _row(
    number: int, board: Board, explained: Explained, explanation: tuple[Explanation, float], turn: Turn
) -> MistakeState:
    one, share = explanation
    to_do = () if one.should_be is None else moves(one.set_pattern, one.should_be)
    headline, words = headlines(board, one), why_words(board, one, explained)
    percent, how_likely = percent_words(share), likelihood(share)
    return MistakeState(
        number=str(number),
        picture=picture_of(board, one.set_pattern, turn, [move.index for move in to_do], SMALL),
        headline=headline,
        words=words,
        share=percent,
        likelihood=how_likely,
        spoken=f"{number}: {headline}, {percent}, {how_likely}. {words}",
    )


def _another_device(number: int, board: Board, explained: Explained, turn: Turn) -> MistakeState:
    headline, words = another_device_words(explained.found)
    percent, how_likely = percent_words(explained.other_share), likelihood(explained.other_share)
    return MistakeState(
        number=str(number),
        picture=picture_of(board, explained.intended_pattern or board.rest, turn, (), SMALL),
        headline=headline,
        words=words,
        share=percent,
        likelihood=how_likely,
        spoken=f"{number}: {headline}, {percent}, {how_likely}. {words}",
    )


def _instead(board: Board, explained: Explained, one: Explanation, turn: Turn) -> InsteadState:
    needs_power = board.takes_effect is TakesEffect.AFTER_POWER_UP
    title = "Set this instead, then power off and on" if needs_power else "Set this instead"
    to_do = () if one.should_be is None else moves(one.set_pattern, one.should_be)
    if not to_do:
        title = "Nothing to set"
    picture = None
    if one.should_be is not None:
        picture = picture_of(board, one.should_be, turn, [move.index for move in to_do], SMALL)
    return InsteadState(title, picture, instead_words(board, one, explained), _ask_words(explained))


def _leave(explained: Explained) -> InsteadState:
    words = f"Look at the plan: does it know a device at {explained.found}?"
    return InsteadState("Nothing to set", None, words, _ask_words(explained))


def _ask_words(explained: Explained) -> str:
    low, high = sorted((explained.intended, explained.found))
    return f"Ask {low} and {high} now"

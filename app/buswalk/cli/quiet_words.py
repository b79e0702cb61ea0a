"""Who is quiet, in words. Pure text."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from buswalk.cli.exchange_words import milliseconds
from buswalk.cli.find_words import between_lines, duration_words
from buswalk.domain.listening.client_harm import OtherClientSuffers
from buswalk.domain.presence.events import AnsweredLate, CameBack, PresenceBase, PresenceEvent, PresenceRound, WentQuiet
from buswalk.domain.search.events import CycleLeavesNoRoom, GoesBetween, LivingLine
from buswalk.jobs.searching.search_words import no_room_words, suffers_words


def presence_lines(event: PresenceEvent, clock_words: Callable[[float], str]) -> list[str]:
    """Return what to show of an event; nothing of what needs no words.

    Args:
        clock_words: A line time as a clock on the wall had it.
    """
    match event:
        case LivingLine(sentence=sentence):
            return [f"{sentence}; --live-line asks all the same, and may spoil what others ask"]
        case GoesBetween():
            return [
                between_lines(event)[0],
                "a device that may take longer than fits into a pause is not called quiet for its silence",
            ]
        case CycleLeavesNoRoom(cycle, needed_s):
            return [no_room_words(cycle, needed_s)]
        case OtherClientSuffers():
            return [suffers_words(event)]
        case PresenceBase(answering, silent, at_s):
            silent_words = f"; silent from the beginning: {_list(silent)}" if silent else ""
            return [f"{clock_words(at_s)}  base: {_answer(len(answering))}: {_list(answering)}{silent_words}"]
        case WentQuiet(server_address=address, since_s=since_s, at_s=at_s):
            return [f"{clock_words(at_s)}  {address} is quiet: no reply since {clock_words(since_s)}"]
        case CameBack(server_address=address, after_s=after_s, at_s=at_s):
            return [f"{clock_words(at_s)}  {address} answers again, after {duration_words(after_s)}"]
        case AnsweredLate(server_address=address, took_s=took_s, at_s=at_s):
            late = f"answered late, after {milliseconds(took_s)}: it is given more time"
            return [f"{clock_words(at_s)}  {address} {late}"]
        case _:
            return []


def round_words(event: PresenceRound) -> str:
    """Return one line of how it goes."""
    return f"round {event.number}, {event.took_s:.1f} s: {_answer(event.answering)}, {event.quiet} quiet"


def end_words(base: PresenceBase, quiet: Sequence[int], last: PresenceRound | None) -> str:
    """Return how it stands at the end."""
    answering = len(base.answering) - len(quiet) if last is None else last.answering
    words = f"{_answer(answering)}, {len(quiet)} quiet" + (f": {_list(quiet)}" if quiet else "")
    if last is None:
        return words
    slow = f"; asked in every second round only, as they are slow: {_list(last.slow)}" if last.slow else ""
    return f"{words}; a round takes {last.took_s:.1f} s{slow}"


def _answer(count: int) -> str:
    return f"{count} answers" if count == 1 else f"{count} answer"


def _list(addresses: Sequence[int]) -> str:
    return ", ".join(map(str, addresses)) or "none"

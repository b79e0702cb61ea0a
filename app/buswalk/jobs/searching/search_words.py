"""The sentences with which a search ends or does not begin."""

from __future__ import annotations

from buswalk.domain.listening.client_cycle import CycleHeard
from buswalk.domain.listening.client_harm import Harm, OtherClientSuffers
from buswalk.domain.search.clear_waits import LONGEST_TURNAROUND_S
from buswalk.domain.search.events import Verdict
from buswalk.domain.search.thorough import LONGEST_PAUSE_S

_WHAT = {
    Verdict.TRAFFIC: "another client is alive on this line",
    Verdict.BABBLE: "somebody talks on this line, at another speed or in another protocol",
    Verdict.HELD: "the line is held at space: a pair swapped, or a driver stuck",
    Verdict.SILENT: "the line is silent",
}


def living_words(verdict: Verdict) -> str:
    """Why nothing was asked."""
    return (
        f"{_WHAT[verdict]}: nothing was sent. Asking now can spoil its exchanges, and devices with a "
        "communication-loss timer may trip; say --live-line to ask all the same"
    )


def never_quiet_words(verdict: Verdict) -> str:
    """Why asking on was given up."""
    if verdict is Verdict.HELD:
        return f"{_WHAT[verdict]}; no device can be heard until that is mended"
    return "the line chatters without end: bytes that are no reply follow every request, whoever is asked"


def all_asked_words(wait_s: float, *, is_restless: bool, given_up: int) -> str:
    """What was asked, and what would not have been found."""
    return (
        "all was asked with 2 or 3 functions; would not be found: a device that is off or cut off, knows none of them, "
        f"takes longer than {wait_s * 1000:.0f} ms and was never heard, or still looks for the speed by itself"
        + _disturbed_words(is_restless=is_restless, given_up=given_up)
    )


def all_passed_words(*, is_restless: bool, given_up: int) -> str:
    """What a thorough search has asked, and what it leaves unproved."""
    return (
        f"each setting was asked by itself with functions 01, 03 and 04, so that every answer within "
        f"{LONGEST_TURNAROUND_S:g} s came while nothing was sent, and after pauses of {LONGEST_PAUSE_S * 1000:.0f} ms; "
        "not proved: settings that were not asked, a device that is off or cut off, knows none of these functions, "
        "takes or pauses longer, or gives up a slow answer when it hears another request; two devices at one address "
        "that answer alike and at once look like one" + _disturbed_words(is_restless=is_restless, given_up=given_up)
    )


def _disturbed_words(*, is_restless: bool, given_up: int) -> str:
    words = ""
    if is_restless:
        words += "; bytes of others kept coming, and a slow device may have been missed among them"
    if given_up:
        where = "1 setting" if given_up == 1 else f"{given_up} settings"
        words += f"; at {where} asking was given up, because bytes that are no reply followed every request"
    return words


def newcomer_words() -> str:
    """Why a search that was under way is held."""
    return "another client has begun to ask on this line: nothing more is asked; what was found so far stands"


def no_room_words(cycle: CycleHeard, needed_s: float) -> str:
    """Why nothing was asked beside a client."""
    return (
        f"the other client leaves no room: a request needs {needed_s:.2f} s, and the longest pause that is safe to use "
        f"is {cycle.longest_room_s:.2f} s; nothing was asked"
    )


def suffers_words(suffers: OtherClientSuffers) -> str:
    """Why asking between a client's cycles was stopped, with what was measured."""
    count, of = suffers.count, suffers.of
    listened = f"{suffers.listened_count} of {suffers.listened_of} while only listening was done"
    match suffers.harm:
        case Harm.LOST:
            measured = f"{count} of its last {of} requests were not answered ({listened})"
        case Harm.LATER:
            measured = f"{count} of its last {of} requests came at other times than before ({listened})"
        case Harm.MET:
            measured = f"{count} of its last {of} requests met one of ours"
        case Harm.FELL_SILENT:
            measured = "its requests have stopped"
        case Harm.NO_ROOM:
            measured = "its rounds have changed, and leave no pause any more"
    return f"stopped, as the other client's traffic suffers: {measured}; what was found so far stands"

"""The sentences with which a search ends or does not begin."""

from __future__ import annotations

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

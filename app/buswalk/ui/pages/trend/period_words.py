"""How often points are read, as people type it and as it is said back. Plain Python."""

from __future__ import annotations

import math

from buswalk.domain.registers.watched_choice import ChosenDevice, WatchedChoice
from buswalk.domain.watching.plan import LONGEST_PERIOD_S, Retries
from buswalk.ui.wording import plural, seconds_words

SHORTEST_S = 0.05
"""Shorter than any exchange on a usual line: to be read as often as it goes, say so much."""
MOST_SAID = 3
NO_PERIOD = "say a period in seconds, such as 5 or 0.5"


def seconds_of(text: str) -> float | str:
    """Return a period as typed, decimal comma or point; or one sentence why it is none."""
    try:
        seconds = float(text.strip().removesuffix("s").strip().replace(",", "."))
    except ValueError:
        return f"'{text}' is no period: {NO_PERIOD}." if text.strip() else f"No period: {NO_PERIOD}."
    if not math.isfinite(seconds) or not SHORTEST_S <= seconds <= LONGEST_PERIOD_S:
        return f"A period lies between {SHORTEST_S:g} s and a day ({LONGEST_PERIOD_S:.0f} s), not at {text.strip()}."
    return seconds


def periods_sentence(choice: WatchedChoice) -> str:
    """Return what is read more often or more rarely than each second; what changes waits for the next watch."""
    said = [words for device in choice.devices for words in _of_device(device)]
    if not said:
        return "Each second."
    more = len(said) - MOST_SAID
    rest = f" and {more} more" if more > 0 else ""
    return f"All others each second; {'; '.join(said[:MOST_SAID])}{rest}: from the next watch on."


def _of_device(device: ChosenDevice) -> list[str]:
    said = [f"{device.server_address} every {seconds_words(device.period_s)}"] if device.period_s else []
    of = f"of {device.server_address} every"
    return [*said, *(f"{one.point} {of} {seconds_words(one.period_s)}" for one in device.periods)]


def retries_words(retries: Retries) -> str:
    """Return what follows silence, to stand behind other words; nothing where nothing follows."""
    return f", {plural(retries.most, 'retry', 'retries')}" if retries.most else ""

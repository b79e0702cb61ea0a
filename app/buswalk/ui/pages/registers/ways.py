"""What the page Registers asks for outside of itself; handed down by who makes the pages. Plain Python."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from buswalk.domain.registers.profile import RegisterProfile
from buswalk.domain.registers.profile_library import ProfileLibrary
from buswalk.ui.pages.chosen_list import ChosenList
from buswalk.ui.timer_desk import TimerDesk, no_timers


@dataclass(frozen=True, slots=True)
class RegistersWays:
    """Ways out of the page.

    Attributes:
        library: The register profiles there are.
        save_profile: Keep a profile among the user's own; one sentence of what came of it.
        choose_points: Let the user choose a point list and read it; None for a changed mind.
        read_sheet: Read another sheet of such a list, by its path and the name of the sheet.
        save_points: Let the user choose a new file for rows, with a name to begin with; one sentence of what came of
            it, empty for a changed mind.
        search: Search the line.
        to_trend: Show the page Trend.
        to_switches: Show the switches of an address.
        to_device: Go back to where one came from.
        timers: Who falls back when nobody asks.
    """

    library: Callable[[], ProfileLibrary]
    save_profile: Callable[[RegisterProfile], str]
    choose_points: Callable[[], ChosenList | None]
    read_sheet: Callable[[str, str], ChosenList]
    save_points: Callable[[str, Iterable[Sequence[str]]], str]
    search: Callable[[], None]
    to_trend: Callable[[], None]
    to_switches: Callable[[int], None]
    to_device: Callable[[int], None]
    timers: TimerDesk = field(default_factory=no_timers)

"""How the page Plan is handed lists from files and gives them away: by functions of whoever may open files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from buswalk.ui.pages.chosen_list import ChosenList


@dataclass(frozen=True, slots=True)
class PlanFiles:
    """What the page is handed.

    Attributes:
        choose_list: Lets the user choose a file and reads it; None if the user changes their mind.
        save_list: Lets the user choose where to put rows, with a name to begin with; returns one sentence of what came
            of it, empty if the user changes their mind.
    """

    choose_list: Callable[[], ChosenList | None]
    save_list: Callable[[str, Sequence[Sequence[str]]], str]

"""What the page Switches is handed: boards, files, printing, and ways to other pages. Plain Python."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from buswalk.domain.switches.board import Board
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.picture import BodyTone


@dataclass(frozen=True, slots=True)
class SwitchedDevice:
    """The device whose switches are looked at, as the page that knows it tells.

    Attributes:
        intended, found: Where it was to answer and where it does; None where that is not known.
        board: Name of its board description; empty where the plan does not tell.
    """

    name: str
    intended: int | None = None
    found: int | None = None
    board: str = ""
    where: str = ""


@dataclass(frozen=True, slots=True)
class SwitchesWays:
    """Ways out of the page.

    Attributes:
        read_boards: All descriptions, read anew.
        save_board: Keeps a board of the user's under a name; returns a sentence of what came of it.
        print_labels: Lets the user choose a file for labels; returns a sentence of what came of it.
        ask: Asks these addresses now.
        to_device: Back to the device on the page it came from.
    """

    read_boards: Callable[[], BoardLibrary]
    save_board: Callable[[Board], str]
    print_labels: Callable[[Sequence[Label], Turn, BodyTone], str]
    ask: Callable[[tuple[int, ...]], None]
    to_device: Callable[[SwitchedDevice], None]

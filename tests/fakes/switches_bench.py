"""A presenter of the page Switches with ways that keep what they were told."""

from __future__ import annotations

from collections.abc import Sequence

from buswalk.domain.switches.board import Board, pattern_text
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.picture import BodyTone
from buswalk.ui.pages.switches.presenter import SwitchesPresenter
from buswalk.ui.pages.switches.switches_state import SwitchesState
from buswalk.ui.pages.switches.ways import SwitchedDevice, SwitchesWays
from tests.fakes.switch_boards import shipped_boards


class SwitchesBench:
    """The presenter and what it did."""

    def __init__(self) -> None:
        self.asked: list[tuple[int, ...]] = []
        self.printed: list[tuple[Label, ...]] = []
        self.went_to: list[SwitchedDevice] = []
        self.own: list[Board] = []
        self.presenter = SwitchesPresenter(
            SwitchesWays(self._read, self._save, self._print, self.asked.append, self.went_to.append)
        )

    @property
    def state(self) -> SwitchesState:
        """What is shown."""
        return self.presenter.state

    @property
    def positions(self) -> str:
        """Where levers and dials stand, as they are typed."""
        return pattern_text(tuple(one.position for one in self.state.block.controls))

    def on(self, board: str) -> SwitchesBench:
        """Choose a board."""
        self.presenter.choose_board(board)
        return self

    def compare(self, intended: str, found: str) -> SwitchesBench:
        """Write both addresses."""
        self.presenter.edit_intended(intended)
        self.presenter.edit_found(found)
        return self

    def _read(self) -> BoardLibrary:
        return BoardLibrary((*shipped_boards(), *self.own), frozenset(one.name for one in self.own))

    def _save(self, board: Board) -> str:
        self.own.append(board)
        return f"kept as {board.name}"

    def _print(self, labels: Sequence[Label], turn: Turn, tone: BodyTone) -> str:
        self.printed.append(tuple(labels))
        return "saved as labels.pdf"

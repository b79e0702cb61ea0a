"""Keeps what is compared: the addresses written, what explains them, and which explanation is chosen."""

from __future__ import annotations

from buswalk.domain.modbus.adu import SERVER_ADDRESSES
from buswalk.domain.switches.board import Board
from buswalk.domain.switches.explaining import Explained, explain
from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.setting import SettingTable
from buswalk.domain.switches.typed import NotUnderstood, read_typed_address
from buswalk.domain.switches.wording import not_possible_words
from buswalk.ui.pages.switches.entries import Entries
from buswalk.ui.pages.switches.mistake_list import explained_state
from buswalk.ui.pages.switches.switches_state import ExplainedState
from buswalk.ui.tones import Tone

NOTHING_YET = "Write where the device was to answer and where it does: the mistakes that lead there stand here."


class Comparing:
    """Set here, found there."""

    def __init__(self) -> None:
        self.entries = Entries()
        self._chosen = 0
        self._kept: tuple[Entries, Board, Explained] | None = None

    def enter(self, entries: Entries) -> None:
        """Take what was written; the first explanation is chosen again."""
        self.entries = entries
        self._chosen = 0

    def choose(self, index: int) -> None:
        """Choose an explanation."""
        self._chosen = index

    def addresses(self, table: SettingTable, boards: tuple[Board, ...]) -> tuple[int, ...]:
        """Return both addresses, lowest first; nothing while they are not explained."""
        try:
            explained = self._explained(table, boards)
        except NotUnderstood:
            return ()
        return () if explained is None else tuple(sorted((explained.intended, explained.found)))

    def state(self, table: SettingTable, boards: tuple[Board, ...], turn: Turn) -> ExplainedState:
        """Return what is shown beside the block."""
        try:
            explained = self._explained(table, boards)
        except NotUnderstood as reason:
            return self._without(f"{reason.sentence}.", Tone.DOUBT)
        if explained is None:
            return self._without(NOTHING_YET, Tone.INK2)
        return explained_state(self.entries, self._ground(table, boards), explained, turn, self._chosen)

    def _explained(self, table: SettingTable, boards: tuple[Board, ...]) -> Explained | None:
        """Return what explains the address found; None while it is not written. Raises NotUnderstood with why."""
        if not self.entries.intended or not self.entries.found:
            return None
        intended, found = _server_address(self.entries.intended), _server_address(self.entries.found)
        ground = self._ground(table, boards)
        if intended == found:
            raise NotUnderstood(f"It answers at {found} as intended: there is nothing to explain")
        if self._kept is None or self._kept[:2] != (self.entries, table.board):
            # Kept while levers are flipped: it takes some milliseconds, and they do not change it.
            self._kept = (self.entries, table.board, explain(ground, intended, found))
        explained = self._kept[2]
        if explained.intended_pattern is None:
            raise NotUnderstood(not_possible_words(table, intended))
        return explained

    def _ground(self, table: SettingTable, boards: tuple[Board, ...]) -> Ground:
        previous = _server_address(self.entries.previous) if self.entries.previous else None
        return Ground(table, boards, previous)

    def _without(self, why: str, tone: Tone) -> ExplainedState:
        """Return the side column while there is nothing to rank."""
        entries = self.entries
        return ExplainedState(entries.intended, entries.found, entries.previous, why, tone, "", (), -1, "", None)


def _server_address(text: str) -> int:
    number = read_typed_address(text)
    if number not in SERVER_ADDRESSES:
        raise NotUnderstood(f"{number} is no server's address: servers have 1 to 247")
    return number

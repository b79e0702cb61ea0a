"""A hand instrument's log beside the curves: read, said how it was read, laid in time. Plain Python."""

from __future__ import annotations

from buswalk.domain.trend.hand_clock import Placed, placed_by_agreement, placed_by_hand, placed_by_its_clock
from buswalk.domain.trend.hand_list import BadHandList, HandList, read_hand_list
from buswalk.ui.pages.trend.watched_board import PointKey, WatchedBoard, WatchedPoint
from buswalk.ui.pages.trend.ways import TrendWays
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

MOST_SENTENCES = 4
NOT_A_NUMBER = "say by how many seconds to shift it, such as -75"


class HandDesk:
    """One log at a time."""

    def __init__(self, board: WatchedBoard, ways: TrendWays) -> None:
        self._board = board
        self._ways = ways
        self._log: HandList | None = None
        self._key: PointKey | None = None
        self._placed: Placed | None = None
        self._words = ""
        self._tone = Tone.INK2

    @property
    def told(self) -> tuple[str, Tone, bool]:
        """What is said of it, in which tone, and whether there is one."""
        return self._words, self._tone, self._key is not None

    def use(self, board: WatchedBoard) -> None:
        """Lay lists beside the values of another session from now on; there is none now."""
        self._board = board

    def bring_in(self, wall_time: str, first_s: float, against: WatchedPoint | None) -> None:
        """Let the user choose a file; read it, take its clock for right, then shift it to where it agrees."""
        file = self._ways.choose_list()
        if file is None:
            return
        read = read_hand_list(file.name, file.lines) if not file.problem else BadHandList((file.problem,))
        if isinstance(read, BadHandList):
            more = len(read.sentences) - MOST_SENTENCES
            told = [*read.sentences[:MOST_SENTENCES], *([f"and {plural(more, 'more line')}"] if more > 0 else [])]
            self._words, self._tone = "Not taken. " + "; ".join(told) + ".", Tone.FAULT
            return
        if not wall_time:
            self._words, self._tone = "Not taken: the time of day of this session is not known.", Tone.FAULT
            return
        self.remove()
        self._log = read
        placed = placed_by_its_clock(read, wall_time, first_s)
        self._lay(placed_by_agreement(placed, against.series.samples) if against is not None else placed)

    def shift(self, text: str) -> None:
        """Shift it by so many seconds, as somebody says."""
        if self._placed is None:
            return
        try:
            offset_s = float(text.replace(",", ".").replace("−", "-"))
        except ValueError:
            self._words, self._tone = f"{self._words} Not shifted: {NOT_A_NUMBER}.", Tone.DOUBT
            return
        self._lay(placed_by_hand(self._placed, offset_s))

    def fit(self, against: WatchedPoint | None) -> None:
        """Shift it to where it agrees best with a point."""
        if self._placed is not None and against is not None and against.key != self._key:
            self._lay(placed_by_agreement(self._placed, against.series.samples))

    def remove(self) -> None:
        """Take it away."""
        if self._key is not None:
            self._board.remove(self._key)
        self._key = self._placed = self._log = None
        self._words, self._tone = "", Tone.INK2

    def _lay(self, placed: Placed) -> None:
        assert self._log is not None
        self._placed = placed
        self._key = self._board.add_hand(f"hand {self._log.name}", self._log.unit, placed.samples)
        self._words = f"Read as {self._log.read_as}; {placed.sentence}."
        self._tone = Tone.INK2

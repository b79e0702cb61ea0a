"""All boards that are known, by name."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.named_things import nearest_name, thing_named
from buswalk.domain.switches.board import Board


class NoSuchBoard(Exception):
    """A name that no board has.

    Attributes:
        sentence: What, and the nearest name.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@dataclass(frozen=True, slots=True)
class BoardLibrary:
    """Boards by name.

    Attributes:
        own: Names of those that are the user's.
        problems: Of files that could not be read, one sentence each; the other boards are there all the same.
    """

    boards: tuple[Board, ...]
    own: frozenset[str] = frozenset()
    problems: tuple[str, ...] = ()

    def named(self, name: str) -> Board:
        """Return the board of a name or title, capitals or not.

        Raises:
            NoSuchBoard: There is none.
        """
        board = thing_named(self.boards, name)
        if board is None:
            near = nearest_name(self.boards, name)
            hint = f"did you mean '{near}'?" if near else "the command 'switches' lists them"
            raise NoSuchBoard(f"no board is called '{name}': {hint}")
        return board

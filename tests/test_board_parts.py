"""Boards as the window and the commands are handed them."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from buswalk.board_parts import read_boards, save_own_board
from tests.fakes.switch_boards import shipped, shipped_boards


def test_a_kept_board_is_there_the_next_time(tmp_path: Path) -> None:
    told = save_own_board(replace(shipped("levers-8"), name="bay-2", adds=1), str(tmp_path))

    library = read_boards(str(tmp_path))
    assert told == "Kept as bay-2.toml; plans and commands call it bay-2."
    assert library.named("bay-2").adds == 1
    assert library.own == {"bay-2"}
    assert len(library.boards) == len(shipped_boards()) + 1


def test_a_name_that_cannot_be_is_said(tmp_path: Path) -> None:
    told = save_own_board(replace(shipped("levers-8"), name="../bay"), str(tmp_path))

    assert told == "Board name '../bay' cannot be: write letters, digits, - and _."
    assert read_boards(str(tmp_path)).own == frozenset()

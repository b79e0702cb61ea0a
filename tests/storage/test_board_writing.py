"""Boards that the user keeps: they read back as they were."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from buswalk.domain.switches.board import Board
from buswalk.storage.board_files import read_board
from buswalk.storage.board_writing import CannotKeep, save_board
from tests.fakes.switch_boards import random_board, shipped, shipped_boards


@pytest.mark.parametrize("board", shipped_boards(), ids=lambda board: str(board.name))
def test_a_board_reads_back_as_it_was(board: Board, tmp_path: Path) -> None:
    path = save_board(tmp_path / "boards", board)

    assert read_board(path) == board


def test_random_boards_read_back_as_they_were(tmp_path: Path) -> None:
    random = Random(3)
    for _ in range(100):
        board = random_board(random)

        assert read_board(save_board(tmp_path, board)) == board


def test_a_board_takes_the_place_of_the_users_older_one(tmp_path: Path) -> None:
    save_board(tmp_path, shipped("levers-8"))

    save_board(tmp_path, replace(shipped("levers-8"), adds=1))

    assert read_board(tmp_path / "levers-8.toml").adds == 1
    assert [one.name for one in tmp_path.iterdir()] == ["levers-8.toml"]


@pytest.mark.parametrize("name", ["../levers", "a/b", ".hidden", "bay 2", "bäy"])
def test_a_name_that_is_no_files_name_is_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(CannotKeep, match="cannot be: write letters"):
        save_board(tmp_path, replace(shipped("levers-8"), name=name))
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_cannot_be_is_one_sentence(tmp_path: Path) -> None:
    (tmp_path / "boards").write_text("a file", encoding="utf-8")

    with pytest.raises(CannotKeep, match="cannot be written"):
        save_board(tmp_path / "boards", shipped("levers-8"))

"""Board files: what they say, and what is said of those that cannot be used."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from buswalk.domain.switches.board import CountsWhen, Dial, LeverBlock, Side, TakesEffect
from buswalk.domain.switches.library import NoSuchBoard
from buswalk.domain.switches.meaning import MeaningKind, SpecialKind
from buswalk.domain.switches.reading import address_of
from buswalk.shipped_files import profile_folder
from buswalk.storage.board_files import FOLDER, BoardProblem, parse_board, read_board, read_board_library

SHIPPED = profile_folder() / FOLDER
PATH = Path("boards/bay.toml")
RIGHT = """title = "3 levers"

[[block]]
kind = "levers"
weights = [1, 2, 4]
"""


def refused(text: str) -> tuple[str, ...]:
    with pytest.raises(BoardProblem) as problem:
        parse_board(text, PATH)
    return problem.value.problems


def test_the_example_of_the_document_is_a_board() -> None:
    """The format is documented by a file that can be read."""
    document = (profile_folder() / "README.md").read_text(encoding="utf-8")
    (example,) = [one for one in re.findall(r"```toml\n(.*?)```", document, re.DOTALL) if "[[block]]" in one]

    board = parse_board(example, Path("boards/hall-controller.toml"))

    block, dial = board.blocks
    assert board.name == "hall-controller"
    assert isinstance(block, LeverBlock)
    assert (block.first, block.on, block.counts_when) == (Side.RIGHT, Side.DOWN, CountsWhen.ON)
    assert dial == Dial("x32", 16, 32)
    assert (board.adds, board.stored_base, board.factory_address) == (1, 0, 247)
    assert board.takes_effect is TakesEffect.AFTER_POWER_UP
    assert [one.kind for one in board.meanings] == [MeaningKind.SPEED, MeaningKind.TERMINATION]
    assert [one.kind for one in board.specials] == [SpecialKind.LOADER]
    assert address_of(board, (1, 0, 1, 0, 0, 0, 0, 0, 1)) == 1 + 4 + 32 + 1


def test_little_is_enough() -> None:
    board = parse_board(RIGHT, PATH)

    assert board.name == "bay"
    assert [one.label for one in board.controls] == ["1", "2", "3"]
    assert address_of(board, (1, 0, 1)) == 5


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (RIGHT.replace("title", "titel"), 1, "'titel' is not known here: did you mean 'title'?"),
        (RIGHT.replace('title = "3 levers"', ""), 1, "'title' is missing: write it"),
        (RIGHT.replace("weights", "weight"), 5, "did you mean 'weights'?"),
        (RIGHT.replace('"levers"', '"switches"'), 3, "needs kind = 'levers' or kind = 'dial'"),
        (RIGHT.replace('kind = "levers"', ""), 3, "needs kind = 'levers' or kind = 'dial'"),
        (RIGHT.replace("[1, 2, 4]", '[1, 2, "4"]'), 5, "cannot be '4'"),
        (RIGHT.replace("[1, 2, 4]", "[1, 2, 256]"), 5, "cannot be 256"),
        (RIGHT.replace("[1, 2, 4]", "[1, 2.5, 4]"), 5, "cannot be 2.5"),
        (RIGHT.replace("[1, 2, 4]", "[0, 0, 0]"), 3, "nothing on this board counts"),
        (RIGHT + 'on = "left"\n', 3, "the first cannot be at the left end"),
        (RIGHT + 'on = "top"\n', 6, "cannot be 'top'"),
        (RIGHT + 'labels = ["1", "2"]\n', 3, "2 labels for 3 weights"),
        (RIGHT + 'labels = ["1", "2", "2"]\n', 3, "two levers or dials are called '2'"),
        (RIGHT + '\n[[block]]\nkind = "dial"\nlabel = "x1"\npositions = 12\nweight = 1\n', 10, "cannot be 12"),
        (RIGHT + '\n[[meaning]]\nof = ["3"]\nkind = "nothing"\n', 7, "counts for the address and cannot mean"),
        (RIGHT + '\n[[meaning]]\nof = ["4"]\nkind = "nothing"\n', 7, "there is no lever or dial '4'"),
        (RIGHT + '\n[[special]]\npattern = "11"\nkind = "invalid"\nwords = "x"\n', 7, "has 2 signs"),
        (RIGHT + '\n[[special]]\npattern = "1x1"\nkind = "invalid"\nwords = "x"\n', 7, "or - for any"),
        (RIGHT.replace("[1, 2, 4]", "[1 2]"), 5, "it is not TOML"),
    ],
)
def test_what_is_wrong_is_said_with_its_line(text: str, line: int, words: str) -> None:
    problems = refused(text)

    assert any(one.startswith(f"{PATH}:{line}: ") and words in one for one in problems), problems


def test_everything_that_is_wrong_is_said_at_once() -> None:
    text = (
        RIGHT
        + '\n[[meaning]]\nof = ["9"]\nkind = "nothing"\n\n[[special]]\npattern = "1"\nkind = "invalid"\nwords = "x"\n'
    )

    assert len(refused(text)) == 2


def test_a_lever_with_two_meanings_is_refused() -> None:
    two = '\n[[meaning]]\nof = ["3"]\nkind = "nothing"\n' * 2

    problems = refused(RIGHT.replace("[1, 2, 4]", "[1, 2, 0]") + two)

    assert "'3' is given two meanings" in problems[0]


def test_the_users_boards_come_first_by_name(tmp_path: Path) -> None:
    own = tmp_path / FOLDER
    own.mkdir()
    (own / "levers-8.toml").write_text(RIGHT, encoding="utf-8")
    (own / "bay.toml").write_text(RIGHT, encoding="utf-8")

    library = read_board_library([SHIPPED], own)

    assert library.named("levers-8").title == "3 levers"
    assert library.own == {"levers-8", "bay"}
    assert library.named("dials-hex").name == "dials-hex"


def test_one_bad_file_does_not_take_the_others_away(tmp_path: Path) -> None:
    own = tmp_path / FOLDER
    own.mkdir()
    (own / "levers-8.toml").write_text("titel = 1", encoding="utf-8")

    library = read_board_library([SHIPPED], own)

    assert library.named("levers-8").title == "8 levers, lever 1 counts 1"
    assert library.problems
    assert all(one.startswith(str(own / "levers-8.toml")) for one in library.problems)


def test_a_board_is_found_by_its_title_too_and_the_nearest_is_said() -> None:
    library = read_board_library([SHIPPED])

    assert library.named("2 Hex Dials, x16 and x1").name == "dials-hex"
    with pytest.raises(NoSuchBoard, match="did you mean 'dials-hex'"):
        library.named("dial-hex")


def test_a_folder_that_is_not_there_has_no_boards(tmp_path: Path) -> None:
    assert read_board_library([], tmp_path / "none").boards == ()


def test_a_file_that_is_not_there_is_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(BoardProblem, match="is not there"):
        read_board(tmp_path / "none.toml")

"""`switches`: what people and machines read of boards, settings and mistakes, and what is said of what cannot be."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from buswalk.cli.switch_picture import picture_lines
from buswalk.domain.switches.board import Board
from buswalk.domain.switches.geometry import Turn
from buswalk.storage.data_folders import VARIABLE
from tests.fakes.command_in_process import ran
from tests.fakes.commands import buswalk
from tests.fakes.switch_boards import shipped, shipped_boards


def test_alone_it_lists_the_boards() -> None:
    ended = ran("switches")

    assert (ended.status, ended.err) == (0, "")
    assert [line.split()[0] for line in ended.out.splitlines()] == [one.name for one in shipped_boards()]


def test_an_address_comes_with_its_picture() -> None:
    """37 = 1 + 4 + 32 on the plain board: levers 1, 3 and 6."""
    ended = ran("switches", "--board", "levers-7-line-end", "--address", "37", "--now", "01110000")

    assert (ended.status, ended.err) == (0, "")
    assert ended.out.splitlines() == [
        "levers-7-line-end: 8 levers, 7 for the address, 8 for the line end",
        "address 37 = 0x25 = 0010 0101",
        "",
        "        1     2     3     4     5     6     7     8",
        "     +-----+-----+-----+-----+-----+-----+-----+-----+",
        "ON ^ | [1] |     | [1] |     |     | [1] |     |     |",
        "     |     | [0] |     | [0] | [0] |     | [0] | (0) |",
        "     +-----+-----+-----+-----+-----+-----+-----+-----+",
        "        1     2     4     8     16    32    64   line",
        "                                                 end",
        "        *     *           *           *                * to move",
        "",
        "1, 3 and 6 ON",
        "from 01110000: flip 1, 2, 4 and 6",
        "1 + 4 + 32 = 37, board adds 0",
        "line end off (8)",
        "takes effect after power-up",
        "pattern 10100100; in the order 1, 2, 3, 4, 5, 6, 7, 8; levers 1 = ON, 0 = OFF",
    ]


@pytest.mark.parametrize(
    ("board", "pattern", "address"),
    [
        ("levers-6-backward", "100101", 37),
        ("levers-6-backward", "on off off on off on", 37),
        ("levers-6-backward", "ON,off,off,ON,off,on", 37),
        ("levers-6-backward", "0x25", 37),
        ("levers-6-backward", "0b100101", 37),
        ("levers-7-line-end", "1010010", 37),
        ("levers-7-line-end", "10100101", 37),
        ("dials-hex", "25", 37),
        ("dials-hex", "2 5", 37),
        ("dials-decimal-ones-first", "73", 37),
        ("dial-hex-and-levers", "010 5", 37),
        ("dial-hex-and-levers", "off on off off 5", 37),
    ],
)
def test_a_pattern_says_its_address(board: str, pattern: str, address: int) -> None:
    ended = ran("switches", "--board", board, "--pattern", pattern, "--json")

    setting = ended.events[1]
    assert ended.status == 0
    assert (setting["event"], setting["server_address"]) == ("setting", address)


def test_six_levers_as_they_are_typed() -> None:
    """101001 on a plain board of six: 1 + 4 + 32."""
    ended = ran("switches", "--board", "levers-6-sideways", "--pattern", "101001")

    assert "address 37 = 0x25 = 0010 0101" in ended.out


def test_a_reversed_board_is_explained_with_its_pictures_and_the_look_that_decides() -> None:
    ended = ran("switches", "--board", "levers-7-line-end", "--intended", "14", "--found", "56")

    assert ended.status == 0
    assert (
        "The first 2 explain it about equally well. Look at lever 2: ON means the first, OFF the second." in ended.out
    )
    assert "1  Board counts from the other end" in ended.out
    assert "set 01110000, should be 00011100" in ended.out
    assert "2 and 3 to OFF, 5 and 6 to ON: it then answers at 14." in ended.out
    assert "2  Set from the wrong end" in ended.out
    assert "It is meant to be 56" in ended.out
    assert "(0 %)" not in ended.out


def test_machines_read_kind_share_and_pattern_of_every_mistake() -> None:
    ended = ran("switches", "--board", "levers-7-line-end", "--intended", "14", "--found", "56", "--json")

    mistakes = ended.events[1:]
    assert {one["event"] for one in mistakes} == {"mistake"}
    assert [(one["kind"], one["pattern"], one["is_tied"]) for one in mistakes[:2]] == [
        ("read_from_other_end", "01110000", True),
        ("read_from_other_end", "00011100", True),
    ]
    assert sum(one["share"] for one in mistakes) < 1.0
    assert mistakes[0]["share"] + mistakes[1]["share"] > 0.8
    counts = [one["kind"].count(" + ") for one in mistakes]
    assert counts == sorted(counts)


def test_all_pairs_are_shown_on_demand_only() -> None:
    line = ("switches", "--board", "levers-8", "--intended", "37", "--found", "219")

    short, long = ran(*line).out, ran(*line, "--all").out

    hidden = re.search(r"(\d+) more pairs? of mistakes with --all", short)
    assert hidden is not None
    assert "with --all" not in long
    assert long.count("   set ") == short.count("   set ") + int(hidden.group(1))


def test_where_it_was_before_comes_first() -> None:
    ended = ran("switches", "--board", "levers-8", "--intended", "37", "--found", "113", "--previous", "113", "--json")

    assert ended.events[1]["kind"] == "change_not_taken"


def test_an_address_that_cannot_be_set_is_said_with_the_nearest() -> None:
    ended = ran("switches", "--board", "dial-hex-alone", "--address", "37")

    assert ended.status == 1
    assert ended.out == "37 cannot be set on this board: the highest here is 16; nearest: 16\n"


def test_a_pattern_without_an_address_is_said_with_the_nearest() -> None:
    ended = ran("switches", "--board", "levers-8-loader", "--pattern", "11111111")

    assert ended.status == 1
    assert "firmware loader: starts the firmware loader" in ended.out
    assert "nearest pattern with an address: 11101111" in ended.out


def test_a_stored_base_is_added() -> None:
    ended = ran("switches", "--board", "levers-4-stored-base", "--base", "40", "--pattern", "1010", "--json")

    assert ended.events[1]["server_address"] == 45


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("--address 37", "say which board it is"),
        ("--board levers8 --address 37", "did you mean 'levers-8'?"),
        ("--board levers-8 --address 248", "--address 248 cannot be: servers have 1 to 247"),
        ("--board levers-8 --address x", "'x' is no address: write 37, 0x25 or 0b100101"),
        ("--board levers-8 --pattern 101", "has 3 positions: write 8 signs"),
        ("--board levers-8 --pattern 10200000", "lever 3 cannot be '2'"),
        ("--board dials-decimal --pattern 3A", "dial x1 has no 'A': write 0 to 9"),
        ("--board dials-decimal --pattern 0xFF", "255 cannot be set on this board"),
        ("--board levers-8 --pattern hello", "is no pattern"),
        ("--board levers-8 --address 1 --pattern 10000000", "two questions"),
        ("--board levers-8 --intended 37", "go together"),
        ("--board levers-8 --intended 37 --found 37", "nothing to explain"),
        ("--board levers-8 --base 3", "adds no stored base"),
        ("--board levers-8 --turn 45", "write 0 or 90 or 180 or 270"),
        ("--sheet x.pdf", "--sheet needs --plan FILE"),
        ("--board levers-8 --addresses 1-3", "add --sheet FILE.pdf"),
        ("--plan nowhere.csv --sheet x.pdf", "nowhere.csv cannot be read"),
    ],
)
def test_what_cannot_be_is_wrong_use_and_one_sentence(line: str, words: str) -> None:
    ended = ran("switches", *line.split())

    assert ended.status == 2
    assert words in ended.err
    assert "Traceback" not in ended.err
    assert ended.out == ""


def test_a_bad_board_file_is_said_and_the_others_work(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = tmp_path / "boards"
    folder.mkdir()
    (folder / "bay.toml").write_text('titel = "x"\n', encoding="utf-8")
    (folder / "own.toml").write_text('title = "mine"\n[[block]]\nkind = "levers"\nweights = [1, 2]\n', encoding="utf-8")
    monkeypatch.setenv(VARIABLE, str(tmp_path))

    ended = ran("switches")

    assert ended.status == 0
    assert f"{folder / 'bay.toml'}:1: 'titel' is not known here: did you mean 'title'?" in ended.err
    assert "mine  (yours)" in ended.out


PLAN = """address,name,board
14,controller bay 2,levers-7-line-end
21,air north,dials-hex
45,probe,levers-4-stored-base
60,pump,
"""


def test_a_plan_becomes_labels(tmp_path: Path) -> None:
    """In a process of its own, without any screen."""
    plan, sheet = tmp_path / "plan.csv", tmp_path / "labels.pdf"
    plan.write_text(PLAN, encoding="utf-8")

    ended = buswalk("switches", "--plan", str(plan), "--board", "levers-8", "--sheet", str(sheet))

    assert ended.status == 0
    assert ended.out.splitlines()[0] == f"4 labels on 1 page: {sheet}"
    assert "45 probe: 45 cannot be set on this board" in ended.out
    assert sheet.read_bytes().startswith(b"%PDF-")


def test_addresses_become_labels_of_one_board(tmp_path: Path) -> None:
    sheet = tmp_path / "labels.pdf"

    ended = buswalk("switches", "--board", "levers-8", "--addresses", "1-4,37", "--sheet", str(sheet), "--json")

    assert ended.events[1] == {"event": "sheet_written", "file": str(sheet), "labels": 5, "pages": 1}


def test_labels_never_take_the_place_of_a_file(tmp_path: Path) -> None:
    sheet = tmp_path / "labels.pdf"
    sheet.write_text("kept", encoding="utf-8")

    ended = buswalk("switches", "--board", "levers-8", "--addresses", "1", "--sheet", str(sheet))

    assert ended.status == 4
    assert "is there already" in ended.err
    assert sheet.read_text(encoding="utf-8") == "kept"


@pytest.mark.parametrize("turn", Turn)
@pytest.mark.parametrize("board", shipped_boards(), ids=lambda board: str(board.name))
def test_pictures_are_plain_and_narrow(board: Board, turn: Turn) -> None:
    """ASCII in at most 79 columns, every label and every position in it once."""
    lines = picture_lines(board, board.rest, turn)

    text = "\n".join(lines)
    assert text.isascii()
    assert max(map(len, lines)) <= 79
    assert len(re.findall(r"[\[(]0[\])]", text)) == sum(one.positions == 2 for one in board.controls)
    assert text.count("| 0 |") == sum(one.positions > 2 for one in board.controls)


def test_a_column_shows_on_at_its_side() -> None:
    """Lever 0 is ON, at the right."""
    lines = picture_lines(shipped("levers-6-sideways"), (1, 0, 0, 0, 0, 0))

    assert lines[0].endswith("-> ON")
    assert lines[2] == "  0 |      [1] | 1"
    assert lines[4] == "  1 | [0]      | 2"

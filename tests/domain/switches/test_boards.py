"""Boards, patterns and addresses: there and back on every shipped board, and on any that can be described."""

from __future__ import annotations

from itertools import product
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from buswalk.domain.switches.board import (
    MOST_PATTERNS,
    Board,
    CountsWhen,
    Dial,
    Lever,
    LeverBlock,
    Side,
    pattern_text,
)
from buswalk.domain.switches.meaning import Meaning, MeaningKind, Special, SpecialKind
from buswalk.domain.switches.notations import notations_of
from buswalk.domain.switches.reading import (
    Decoded,
    NoServerAddress,
    ReadsAddress,
    ReadsSpecial,
    address_of,
    decoded,
    read_pattern,
)
from buswalk.domain.switches.setting import Move, SettingTable, moves
from tests.fakes.mistakes_by_hand import answers_at
from tests.fakes.switch_boards import dials, levers, plain, random_board, shipped, shipped_boards


@pytest.mark.parametrize("board", shipped_boards(), ids=lambda board: str(board.name))
def test_every_pattern_of_a_shipped_board_gives_an_address_and_back(board: Board) -> None:
    """Also with the other levers at every position; the address is reckoned a second time, by other code."""
    table = SettingTable(board)
    for pattern in product(*(range(one.positions) for one in board.controls)):
        address = address_of(board, pattern)
        assert address == answers_at(board, pattern_text(pattern))
        if address is not None:
            assert table.pattern(address, pattern) == pattern
            assert pattern in table.patterns(address, pattern)


@pytest.mark.parametrize("board", shipped_boards(), ids=lambda board: str(board.name))
def test_every_address_is_set_or_said_to_be_impossible_with_its_neighbours(board: Board) -> None:
    table = SettingTable(board)
    for address in range(1, 248):
        pattern = table.pattern(address, board.rest)
        if pattern is not None:
            assert answers_at(board, pattern_text(pattern)) == address
        else:
            assert address not in table.possible
            near = table.nearest(address)
            between = range(min((*near, address)), max((*near, address)) + 1)
            assert near
            assert not [one for one in table.possible if one in between and one not in near]


@settings(max_examples=60)
@given(seed=st.integers(0, 10**6), data=st.data())
def test_any_pattern_of_any_board_comes_back(seed: int, data: st.DataObject) -> None:
    board = random_board(Random(seed))
    pattern = tuple(data.draw(st.integers(0, one.positions - 1)) for one in board.controls)

    address = address_of(board, pattern)

    assert address == answers_at(board, pattern_text(pattern))
    assert address is None or SettingTable(board).pattern(address, pattern) == pattern


def test_six_levers_against_the_bit_order() -> None:
    """The lever marked 1 weighs 32: 37 = levers 1, 4 and 6 (common practice, no source)."""
    board = shipped("levers-6-backward")

    pattern = SettingTable(board).pattern(37, board.rest)

    assert pattern == (1, 0, 0, 1, 0, 1)


def test_plain_levers_for_37() -> None:
    """37 = 1 + 4 + 32: levers 1, 3 and 6 (binary arithmetic)."""
    assert SettingTable(plain(8)).pattern(37, plain(8).rest) == (1, 0, 1, 0, 0, 1, 0, 0)


def test_dials_for_37() -> None:
    """37 = 0x25."""
    assert SettingTable(dials(16, 16, 1)).pattern(37, (0, 0)) == (2, 5)
    assert SettingTable(dials(10, 10, 1)).pattern(37, (0, 0)) == (3, 7)


@given(st.integers(0, 65535))
def test_notations_agree_with_python(number: int) -> None:
    """Against Python's own arithmetic."""
    written = notations_of(number)

    assert int(written.decimal) == int(written.hexadecimal, 16) == int(written.binary.replace(" ", ""), 2) == number
    assert all(len(group) == 4 for group in written.binary.split(" "))


def test_37_in_three_notations() -> None:
    written = notations_of(37)

    assert (written.decimal, written.hexadecimal, written.binary) == ("37", "0x25", "0010 0101")


@given(address=st.integers(1, 247))
def test_hex_dials_show_the_hex_digits(address: int) -> None:
    """Against Python's own arithmetic."""
    board = dials(16, 16, 1)

    pattern = SettingTable(board).pattern(address, board.rest)

    assert pattern is not None
    assert pattern_text(pattern) == f"{address:02X}"


@given(address=st.integers(1, 247))
def test_plain_levers_show_the_binary_digits_lowest_first(address: int) -> None:
    """Against Python's own arithmetic."""
    board = plain(8)

    pattern = SettingTable(board).pattern(address, board.rest)

    assert pattern is not None
    assert pattern_text(pattern) == f"{address:08b}"[::-1]


def test_only_what_must_be_is_moved() -> None:
    """From 14 (levers 2, 3, 4) to 37 (1, 3, 6); the line end stays ON."""
    board = shipped("levers-7-line-end")
    present = (0, 1, 1, 1, 0, 0, 0, 1)

    wanted = SettingTable(board).pattern(37, present)

    assert wanted == (1, 0, 1, 0, 0, 1, 0, 1)
    assert moves(present, wanted) == (Move(0, 1), Move(1, 0), Move(3, 0), Move(5, 1))


def test_of_several_ways_the_one_with_the_fewest_moves_is_taken() -> None:
    """10 is lever 10 alone or levers 2 and 8."""
    board = levers(2, 8, 10)
    table = SettingTable(board)

    assert table.pattern(10, (0, 0, 0)) == (0, 0, 1)
    assert table.pattern(10, (1, 0, 0)) == (1, 1, 0)
    assert table.patterns(10, (0, 0, 0)) == ((0, 0, 1), (1, 1, 0))


def test_sums_that_no_server_has() -> None:
    """Serial Line V1.02, 2.2: servers have 1 to 247."""
    assert read_pattern(plain(8), (0,) * 8) == NoServerAddress(0)
    assert read_pattern(plain(8), (1,) * 8) == NoServerAddress(255)
    assert read_pattern(plain(8), (1, 1, 1, 0, 1, 1, 1, 1)) == ReadsAddress(247)


def test_a_special_pattern_is_no_address_and_the_nearest_way_out_is_one_lever() -> None:
    board = shipped("levers-8-loader")
    table = SettingTable(board)

    reading = read_pattern(board, (1,) * 8)
    assert isinstance(reading, ReadsSpecial)
    assert reading.special.kind is SpecialKind.LOADER

    nearest = table.nearest_pattern((1,) * 8)
    assert nearest is not None
    assert len(moves((1,) * 8, nearest)) == 1
    assert address_of(board, nearest) == 247


def test_a_digit_above_9_cannot_be() -> None:
    """Levers 2 and 4 make 10 in the ones."""
    assert isinstance(read_pattern(shipped("levers-8-tens-and-ones"), (0, 1, 0, 1, 0, 0, 0, 0)), ReadsSpecial)


def test_a_special_pattern_may_give_an_address_of_its_own() -> None:
    special = Special("000", SpecialKind.ADDRESS, "all OFF answers at 247", 247)
    board = Board("b", "t", (LeverBlock((Lever("1", 1), Lever("2", 2), Lever("3", 4))),), specials=(special,))

    assert address_of(board, (0, 0, 0)) == 247
    assert SettingTable(board).pattern(247, (1, 0, 0)) == (0, 0, 0)


def test_a_lever_in_the_way_is_put_to_rest() -> None:
    """Lever 3 takes the address from a parameter."""
    special = Special("--1", SpecialKind.PARAMETER, "the address is taken from a parameter")
    board = Board("b", "t", (LeverBlock((Lever("1", 1), Lever("2", 2), Lever("mode", 0))),), specials=(special,))

    assert SettingTable(board).pattern(3, (0, 0, 1)) == (1, 1, 0)


def test_levers_for_other_things_are_decoded() -> None:
    board = shipped("levers-10-speed-parity")

    said = decoded(board, (1, 0, 1, 0, 0, 1, 0, 1, 1, 0))

    assert said == (
        Decoded(MeaningKind.SPEED, ("7", "8"), "19200"),
        Decoded(MeaningKind.PARITY, ("9",), "even"),
        Decoded(MeaningKind.NOTHING, ("10",), ""),
    )


def test_a_combination_that_is_not_described_says_nothing() -> None:
    """Only one of the two polarization levers ON."""
    said = decoded(shipped("levers-5-line-end-bias"), (1, 0, 0, 0, 0, 0, 1, 0))

    assert said[1] == Decoded(MeaningKind.POLARIZATION, ("7", "8"), "")


def test_the_library_is_wide() -> None:
    """At least twelve boards, and each way to count among them."""
    boards = shipped_boards()

    blocks = [block for board in boards for block in board.blocks]
    lever_blocks = [block for block in blocks if isinstance(block, LeverBlock)]
    kinds = {meaning.kind for board in boards for meaning in board.meanings}
    assert len(boards) >= 12
    assert {block.on for block in lever_blocks} >= {Side.UP, Side.DOWN, Side.RIGHT}
    assert {block.counts_when for block in lever_blocks} == set(CountsWhen)
    assert {block.positions for block in blocks if isinstance(block, Dial)} == {10, 16}
    assert any(board.adds for board in boards)
    assert any(board.stored_base is not None for board in boards)
    assert any(len({type(block) for block in board.blocks}) == 2 for board in boards)
    assert {one.kind for board in boards for one in board.specials} >= {
        SpecialKind.INVALID,
        SpecialKind.LOADER,
        SpecialKind.PARAMETER,
    }
    assert kinds >= {MeaningKind.SPEED, MeaningKind.PARITY, MeaningKind.TERMINATION, MeaningKind.NOTHING}


LEVERS = LeverBlock((Lever("1", 1), Lever("2", 0)))


@pytest.mark.parametrize(
    ("words", "make"),
    [
        ("stand side by side", lambda: LeverBlock((Lever("1", 1),), Side.UP, Side.UP)),
        ("10 or 16 positions", lambda: Dial("x1", 12, 1)),
        ("cannot count -1", lambda: Lever("1", -1)),
        ("1 to 8 signs", lambda: Lever("", 1)),
        ("two levers or dials are called", lambda: levers_called("1", "1")),
        ("nothing on this board counts", lambda: levers(0, 0)),
        (f"more than {MOST_PATTERNS}", lambda: levers(*[1] * 13)),
        ("counts for the address and cannot mean", lambda: with_meaning(Meaning(MeaningKind.NOTHING, ("1",)))),
        ("no lever or dial '9'", lambda: with_meaning(Meaning(MeaningKind.NOTHING, ("9",)))),
        ("cannot be set", lambda: with_meaning(Meaning(MeaningKind.TERMINATION, ("2",), (("2", "on"),)))),
        ("speed 'quick' cannot be", lambda: Meaning(MeaningKind.SPEED, ("2",), (("1", "quick"),))),
        ("parity 'mark' cannot be", lambda: Meaning(MeaningKind.PARITY, ("2",), (("1", "mark"),))),
        ("needs one sign for each", lambda: Meaning(MeaningKind.OTHER, ("2",), (("11", "x"),))),
        ("every meaning but nothing has values", lambda: Meaning(MeaningKind.SPEED, ("2",))),
        ("has 1 signs; this board takes 2", lambda: with_special(Special("1", SpecialKind.INVALID, "no"))),
        ("has no position 2", lambda: with_special(Special("20", SpecialKind.INVALID, "no"))),
        ("kind 'address'", lambda: Special("11", SpecialKind.ADDRESS, "no")),
        ("needs words", lambda: Special("11", SpecialKind.INVALID, " ")),
    ],
)
def test_what_no_board_can_be_is_refused_in_words(words: str, make: object) -> None:
    assert callable(make)
    with pytest.raises(ValueError, match=words):
        make()


def levers_called(*labels: str) -> Board:
    return Board("b", "t", (LeverBlock(tuple(Lever(label, 1) for label in labels)),))


def with_meaning(meaning: Meaning) -> Board:
    return Board("b", "t", (LEVERS,), meanings=(meaning,))


def with_special(special: Special) -> Board:
    return Board("b", "t", (LEVERS,), specials=(special,))

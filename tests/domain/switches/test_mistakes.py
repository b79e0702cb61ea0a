"""Where mistakes lead: the list of practice, and every board reckoned anew by other code."""

from __future__ import annotations

from random import Random

import pytest

from buswalk.domain.switches.board import Board, pattern_text
from buswalk.domain.switches.explaining import images, likely_addresses
from buswalk.domain.switches.mistakes.course import Ground
from buswalk.domain.switches.mistakes.kinds import MistakeKind
from buswalk.domain.switches.setting import SettingTable
from tests.fakes.mistakes_by_hand import ByHand, mistakes_by_hand
from tests.fakes.switch_boards import dials, levers, plain, random_board, shipped_boards


def ground(board: Board, others: tuple[Board, ...] = (), previous: int | None = None) -> Ground:
    return Ground(SettingTable(board), others, previous)


def led_to(board: Board, kind: MistakeKind) -> set[int]:
    return {one.server_address for one in images(ground(board), 37) if one.mistake.kind is kind}


@pytest.mark.parametrize(
    ("levers_count", "kind", "address"),
    [
        (8, MistakeKind.READ_FROM_OTHER_END, 164),
        (7, MistakeKind.READ_FROM_OTHER_END, 82),
        (6, MistakeKind.READ_FROM_OTHER_END, 41),
        (8, MistakeKind.ON_TAKEN_AS_OFF, 218),
        (7, MistakeKind.ON_TAKEN_AS_OFF, 90),
        (6, MistakeKind.ON_TAKEN_AS_OFF, 26),
        (8, MistakeKind.UPSIDE_DOWN, 91),
        (7, MistakeKind.UPSIDE_DOWN, 45),
        (6, MistakeKind.UPSIDE_DOWN, 22),
        (8, MistakeKind.BOARD_ADDS_ONE, 38),
        (8, MistakeKind.LEVERS_SHIFTED, 74),
        (8, MistakeKind.LEVERS_SHIFTED, 18),
        *((8, MistakeKind.LEVER_NOT_SEATED, address) for address in (36, 39, 33, 45, 53, 5, 101, 165)),
        (8, MistakeKind.FACTORY_ADDRESS, 1),
        (8, MistakeKind.FACTORY_ADDRESS, 247),
    ],
)
def test_where_37_is_then(levers_count: int, kind: MistakeKind, address: int) -> None:
    """Bits of 37 by hand: 0010 0101 read from the other end is 1010 0100, and so on (arithmetic)."""
    assert address in led_to(plain(levers_count), kind)


def test_where_37_is_on_dials() -> None:
    """0x37 = 55; 37 = 0x25; 37 read backward is 73 (arithmetic)."""
    assert led_to(dials(16, 16, 1), MistakeKind.DECIMAL_SET_ON_HEX) == {55}
    assert led_to(dials(10, 10, 1), MistakeKind.HEX_READ_AS_DECIMAL) == {25}
    assert led_to(dials(16, 16, 1), MistakeKind.HEX_READ_AS_DECIMAL) == {25}
    assert led_to(dials(10, 10, 1), MistakeKind.DIGITS_SWAPPED) == {73}
    assert led_to(dials(10, 10, 1), MistakeKind.DIAL_ONE_STEP_OFF) == {27, 47, 36, 38}


def test_eight_levers_lead_nowhere_else() -> None:
    """All places at once, beside the swaps 38, 35, 41, 21, 69 and the shift by two 148 (arithmetic)."""
    found = {one.server_address for one in images(ground(plain(8)), 37)}

    listed = {164, 218, 91, 38, 55, 25, 74, 18, 36, 39, 33, 45, 53, 5, 101, 165, 1, 247}
    assert found == listed | {35, 41, 21, 69, 148}


def test_an_offset_that_was_forgotten_or_is_not_there() -> None:
    """A board that adds 1: for 37 the levers make 36; set to 37 it answers at 38, without the offset at 36."""
    board = next(one for one in shipped_boards() if one.adds == 1 and len(one.controls) > 1)

    assert led_to(board, MistakeKind.OFFSET_FORGOTTEN) == {38}
    assert led_to(board, MistakeKind.BOARD_ADDS_NOTHING) == {36}


def by_program(board: Board, others: tuple[Board, ...], intended: int) -> list[ByHand]:
    found = [
        ByHand(one.mistake.kind.value, pattern_text(one.course.pattern), one.server_address)
        for one in images(ground(board, others), intended)
    ]
    return sorted(found, key=str)


@pytest.mark.parametrize("board", shipped_boards(), ids=lambda board: str(board.name))
def test_every_image_of_a_shipped_board_is_found_by_other_code_too(board: Board) -> None:
    """By brute force over signs; ten addresses a board, drawn with a seed of their own."""
    addresses = Random(len(board.name)).sample(range(1, 248), 10)

    for intended in addresses:
        by_hand = sorted(mistakes_by_hand(board, shipped_boards(), intended), key=str)
        assert by_program(board, shipped_boards(), intended) == by_hand


def test_every_image_of_a_random_board_is_found_by_other_code_too() -> None:
    random = Random(20)
    for _ in range(150):
        board = random_board(random)
        others = tuple(random_board(random) for _ in range(4))
        intended = random.randint(1, 247)

        by_hand = sorted(mistakes_by_hand(board, others, intended), key=str)

        assert by_program(board, others, intended) == by_hand


def test_where_to_look_for_a_silent_device() -> None:
    """Likeliest first; 38 is reached by two mistakes and stands before each of them alone."""
    likely = likely_addresses(ground(plain(8)), 37)

    assert next(iter(likely)) == 164
    assert list(likely.values()) == sorted(likely.values(), reverse=True)
    assert sum(likely.values()) == pytest.approx(1.0)
    assert 37 not in likely


def test_an_address_that_cannot_be_set_leads_nowhere() -> None:
    assert images(ground(levers(1, 2, 4)), 37) == ()
    assert likely_addresses(ground(levers(1, 2, 4)), 37) == {}

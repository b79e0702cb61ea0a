"""Pictures of switches by geometry: which lever is drawn where, for every board, pattern and turn."""

from __future__ import annotations

import math
from random import Random

import pytest

from buswalk.domain.switches.board import Board, ControlKind, Lever, LeverBlock, Pattern, Side
from buswalk.domain.switches.geometry import Rectangle, Turn
from buswalk.domain.switches.picture import PRINT, LeverPicture, Picture, picture_of
from tests.fakes.switch_boards import dials, shipped, shipped_boards

LEAST_FIGURE_MM = 3.5
"""Readable at 60 cm (20 minutes of arc)."""


def block(first: Side, on: Side) -> Board:
    """Three levers that count 1, 2, 4."""
    levers = tuple(Lever(str(number), 1 << number - 1) for number in (1, 2, 3))
    return Board("b", "t", (LeverBlock(levers, first, on),))


def order(picture: Picture) -> str:
    """Printed numbers from left to right, or from top to bottom where the levers stand above each other."""
    xs = {round(one.slot.center.x_mm, 6) for one in picture.levers}
    levers = sorted(picture.levers, key=lambda one: one.slot.x_mm if len(xs) > 1 else one.slot.y_mm)
    return "".join(one.label.lines[0] for one in levers)


def side_of_knob(lever: LeverPicture) -> Side:
    x = lever.knob.center.x_mm - lever.slot.center.x_mm
    y = lever.knob.center.y_mm - lever.slot.center.y_mm
    if abs(x) > abs(y):
        return Side.RIGHT if x > 0 else Side.LEFT
    return Side.DOWN if y > 0 else Side.UP


@pytest.mark.parametrize(
    ("first", "on", "turn", "seen", "seen_on"),
    [
        (Side.LEFT, Side.UP, Turn.NONE, "123", Side.UP),
        (Side.RIGHT, Side.DOWN, Turn.NONE, "321", Side.DOWN),
        (Side.RIGHT, Side.UP, Turn.NONE, "321", Side.UP),
        (Side.UP, Side.RIGHT, Turn.NONE, "123", Side.RIGHT),
        (Side.DOWN, Side.LEFT, Turn.NONE, "321", Side.LEFT),
        (Side.LEFT, Side.UP, Turn.RIGHT, "123", Side.RIGHT),
        (Side.LEFT, Side.UP, Turn.HALF, "321", Side.DOWN),
        (Side.LEFT, Side.UP, Turn.LEFT, "321", Side.LEFT),
        (Side.UP, Side.RIGHT, Turn.RIGHT, "321", Side.DOWN),
        (Side.UP, Side.RIGHT, Turn.HALF, "321", Side.LEFT),
        (Side.UP, Side.RIGHT, Turn.LEFT, "123", Side.UP),
    ],
)
def test_levers_lie_as_the_board_hangs(first: Side, on: Side, turn: Turn, seen: str, seen_on: Side) -> None:
    """Turned by hand, clockwise: what was up is at the right, what was at the left is on top."""
    picture = picture_of(block(first, on), (1, 0, 1), turn)

    opposite = {Side.UP: Side.DOWN, Side.DOWN: Side.UP, Side.LEFT: Side.RIGHT, Side.RIGHT: Side.LEFT}[seen_on]
    assert order(picture) == seen
    assert [side_of_knob(one) for one in picture.levers] == [seen_on, opposite, seen_on]
    arrow = picture.bodies[0]
    pointed = (arrow.arrow_to.x_mm - arrow.arrow_from.x_mm, arrow.arrow_to.y_mm - arrow.arrow_from.y_mm)
    assert {Side.UP: pointed[1] < 0, Side.DOWN: pointed[1] > 0, Side.LEFT: pointed[0] < 0, Side.RIGHT: pointed[0] > 0}[
        seen_on
    ]


def area(picture: Picture) -> Rectangle:
    return Rectangle(0.0, 0.0, picture.width_mm, picture.height_mm)


def patterns(board: Board) -> list[Pattern]:
    random = Random(len(board.controls))
    drawn = [tuple(random.randrange(one.positions) for one in board.controls) for _ in range(4)]
    return [board.rest, *drawn]


@pytest.mark.parametrize("turn", Turn)
@pytest.mark.parametrize("board", shipped_boards(), ids=lambda board: str(board.name))
def test_everything_lies_where_it_belongs(board: Board, turn: Turn) -> None:
    """Knob in slot, slot in body, body in picture; no two slots overlap; ON and OFF at opposite ends."""
    for pattern in patterns(board):
        picture = picture_of(board, pattern, turn)
        whole = area(picture)
        for body in picture.bodies:
            assert whole.holds(body.body)
        for lever in picture.levers:
            assert lever.slot.holds(lever.knob)
            assert any(body.body.holds(lever.slot) for body in picture.bodies)
            assert lever.is_on == (pattern[lever.index] == 1)
            assert lever.digit.lines == (str(pattern[lever.index]),)
            assert lever.counts == (board.controls[lever.index].adds_at(pattern[lever.index]) > 0)
            assert lever.label.lines == (board.controls[lever.index].label,)
        centers = [(one.slot.center.x_mm, one.slot.center.y_mm) for one in picture.levers]
        for at, one in enumerate(centers):
            assert all(math.dist(one, other) >= PRINT.pitch_mm - 1e-6 for other in centers[at + 1 :])
        indices = [*(one.index for one in picture.levers), *(one.index for one in picture.dials)]
        kinds = [board.controls[index].kind for index in indices]
        assert kinds == [ControlKind.LEVER] * len(picture.levers) + [ControlKind.DIAL] * len(picture.dials)
        assert len(kinds) == len(board.controls)


@pytest.mark.parametrize("turn", Turn)
@pytest.mark.parametrize("board", shipped_boards(), ids=lambda board: str(board.name))
def test_texts_lie_inside_and_figures_can_be_read(board: Board, turn: Turn) -> None:
    """Figures are at least 3.5 mm high; every text is anchored inside of the picture."""
    picture = picture_of(board, board.rest, turn)

    for text in picture.texts:
        assert 0 <= text.at.x_mm <= picture.width_mm
        assert 0 <= text.at.y_mm <= picture.height_mm
        if any(sign.isdigit() for line in text.lines for sign in line):
            assert text.figure_mm >= LEAST_FIGURE_MM


@pytest.mark.parametrize("turn", Turn)
def test_a_dial_points_to_its_digit(turn: Turn) -> None:
    """The pointer's direction is that of the digit from the center, at every position and turn."""
    board = dials(16, 16, 1)
    for position in range(16):
        picture = picture_of(board, (position, 0), turn)
        dial = picture.dials[0]
        digit = dial.digits[position]
        x, y = digit.at.x_mm - dial.center.x_mm, digit.at.y_mm - dial.center.y_mm
        degrees = math.degrees(math.atan2(x, -y)) % 360.0
        assert math.isclose(math.cos(math.radians(degrees - dial.pointer_degrees)), 1.0, abs_tol=1e-9)
        assert digit.lines == ("0123456789ABCDEF"[position],)
        assert digit.is_bold


def test_blocks_stand_from_left_to_right_and_turn_together() -> None:
    board = shipped("dial-hex-and-levers")

    upright = picture_of(board, board.rest)
    half = picture_of(board, board.rest, Turn.HALF)
    quarter = picture_of(board, board.rest, Turn.RIGHT)

    assert upright.dials[0].center.x_mm > max(one.slot.right_mm for one in upright.levers)
    assert half.dials[0].center.x_mm < min(one.slot.x_mm for one in half.levers)
    assert quarter.dials[0].center.y_mm > max(one.slot.bottom_mm for one in quarter.levers)


def test_what_is_to_be_moved_is_marked() -> None:
    picture = picture_of(shipped("levers-8"), (0,) * 8, marked=(1, 4))

    assert [one.index for one in picture.levers if one.is_marked] == [1, 4]


def test_other_levers_carry_their_word() -> None:
    picture = picture_of(shipped("levers-7-line-end"), (0,) * 8)

    assert picture.levers[7].says.lines == ("line", "end")
    assert not picture.levers[7].is_for_address
    assert picture.levers[6].says.lines == ("64",)


def test_a_pattern_that_cannot_be_set_is_not_drawn() -> None:
    with pytest.raises(ValueError, match="cannot be set"):
        picture_of(shipped("levers-8"), (2,) * 8)

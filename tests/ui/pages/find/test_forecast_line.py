"""Where the stops of a forecast stand: words never meet, order is kept, and the drawing says what it shows."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from buswalk.ui.pages.find.forecast_line import spread


def test_stops_with_room_stand_where_they_are_wanted() -> None:
    assert spread([50.0, 120.0, 300.0], [40.0, 40.0, 40.0], 400.0) == [50.0, 120.0, 300.0]


def test_stops_that_would_meet_move_apart_and_keep_their_order() -> None:
    """By hand: 60 wide each, the second is pushed to 110, the third to 170, no further than room allows."""
    assert spread([50.0, 55.0, 56.0], [60.0, 60.0, 60.0], 400.0) == [50.0, 110.0, 170.0]


def test_the_last_stop_stays_within_the_line() -> None:
    assert spread([50.0, 395.0, 400.0], [60.0, 60.0, 60.0], 400.0) == [50.0, 310.0, 370.0]


@given(
    st.lists(st.floats(0.0, 400.0), min_size=4, max_size=4),
    st.lists(st.floats(20.0, 90.0), min_size=4, max_size=4),
)
def test_words_never_meet_where_there_is_room_for_all(wanted: list[float], widths: list[float]) -> None:
    room = 400.0

    placed = spread(sorted(wanted), widths, room)

    boxes = [(at - width / 2.0, at + width / 2.0) for at, width in zip(placed, widths, strict=True)]
    assert boxes[0][0] >= -1e-9
    assert boxes[-1][1] <= room + 1e-9
    assert all(one[1] <= other[0] + 1e-9 for one, other in pairwise(boxes))


def test_too_many_words_are_evenly_tight() -> None:
    placed = spread([10.0, 20.0, 30.0], [100.0, 100.0, 100.0], 200.0)

    assert placed == pytest.approx([50.0, 100.0, 150.0])

"""The page Find in every state and room: nothing cut, everything named, results read from afar."""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QAccessible, QFontMetricsF
from PySide6.QtWidgets import QWidget
from pytestqt.qtbot import QtBot

from buswalk.bus.messages import Kept
from buswalk.domain.visit.session_events import JobStarted
from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.find.ping_result import PingResult
from buswalk.ui.pages.find.ping_state import ResultState
from buswalk.ui.palettes import DARK, LIGHT
from buswalk.ui.sizes import CAP_HEIGHT_2_M, CAP_HEIGHT_3_M, TextSize
from buswalk.ui.tones import Tone
from tests.fakes.shown_widgets import cut, unnamed
from tests.ui.pages.find.find_on_screen import (
    BIG,
    SMALL,
    STATES,
    USUAL,
    Shown,
    done,
    gone_quiet,
    many_quiet,
    ready,
)

LOOKS = [pytest.param(Look(LIGHT), id="light"), pytest.param(Look(DARK), id="dark")]


@pytest.fixture
def shown(qtbot: QtBot) -> Shown:
    return Shown(qtbot, Look(LIGHT), USUAL)


# Every state in every room


@pytest.mark.parametrize("look", LOOKS)
@pytest.mark.parametrize("room", [BIG, USUAL, SMALL], ids=["big", "usual", "small"])
@pytest.mark.parametrize("state", STATES)
def test_nothing_is_cut_in_any_state(
    qtbot: QtBot, look: Look, room: tuple[int, int], state: Callable[[Shown], None]
) -> None:
    """Values, verdicts and words of buttons fit; names of devices may be cut at their end."""
    shown = Shown(qtbot, look, room)

    state(shown)

    assert cut(shown.view) == []
    assert shown.view.minimumSizeHint().width() <= room[0]


@pytest.mark.parametrize("state", STATES)
def test_everything_has_a_name_for_readers(shown: Shown, state: Callable[[Shown], None]) -> None:
    state(shown)

    assert unnamed(shown.view) == []


@pytest.mark.parametrize("room", [USUAL, SMALL], ids=["usual", "small"])
def test_where_f6_stops_can_have_the_focus(qtbot: QtBot, room: tuple[int, int]) -> None:
    for state in STATES:
        shown = Shown(qtbot, Look(LIGHT), room)
        state(shown)

        for pane in shown.view.panes():
            assert pane.isVisible(), (state.__name__, pane.accessibleName())
            assert pane.focusPolicy() & Qt.FocusPolicy.TabFocus, (state.__name__, pane.accessibleName())


def test_at_150_percent_all_sizes_grow(qtbot: QtBot) -> None:
    usual = Shown(qtbot, Look(LIGHT), USUAL)
    large = Shown(qtbot, Look(LIGHT, TextSize.LARGEST), (1740, 930))
    for one in (usual, large):
        done(one)

    assert large.view.main.height() == 1.5 * usual.view.main.height()
    assert large.view.search.addresses.picture.width() >= 1.5 * usual.view.search.addresses.picture.width() - 2


@pytest.mark.parametrize("kind", [one for one in OutcomeKind if one is not OutcomeKind.SILENT_AS_EXPECTED])
@pytest.mark.parametrize("width", [833, 757], ids=["usual", "small"])
def test_every_result_is_read_from_three_metres(qtbot: QtBot, kind: OutcomeKind, width: int) -> None:
    """20 minutes of arc at 3 m and 96 dpi are 66 px of the capitals, by the font's own measure."""
    result = PingResult(Look(LIGHT))
    qtbot.addWidget(result)
    result.resize(width, 300)
    result.show_result(ResultState("247", "a device", "9600 no parity", kind, 2, kind.word, "", Tone.INK))

    metrics = QFontMetricsF(result.word_font)

    assert metrics.capHeight() >= CAP_HEIGHT_3_M
    assert " ".join(result.word_lines()) == kind.word
    beside_address = 24 + 22 + metrics.horizontalAdvance("247")
    left = 174 if len(result.word_lines()) == 1 else max(174, beside_address)
    assert all(left + metrics.horizontalAdvance(line) <= width - 24 for line in result.word_lines())
    assert len(result.word_lines()) <= 2


@pytest.mark.parametrize("room", [USUAL, SMALL], ids=["usual", "small"])
def test_quiet_names_are_read_from_two_metres(qtbot: QtBot, room: tuple[int, int]) -> None:
    """20 minutes of arc at 2 m and 96 dpi are 44 px of the capitals, by the face itself; rows are 76 px apart."""
    shown = Shown(qtbot, Look(LIGHT), room)
    gone_quiet(shown)

    rows = shown.view.quiet.names.shown_rows()
    assert [row.accessibleName().split(",")[0] for row in rows] == ["41", "51", "1"]
    for row in rows:
        assert QFontMetricsF(row.address_font).capHeight() >= CAP_HEIGHT_2_M
        assert QFontMetricsF(row.name_font).capHeight() >= CAP_HEIGHT_2_M
        assert row.height() >= QFontMetricsF(row.name_font).ascent() + QFontMetricsF(row.name_font).descent() - 6
    assert [later.y() - earlier.y() for earlier, later in pairwise(rows)] == [76, 76]
    assert [row.name_shown() for row in rows][:2] == ["weather station", "heat meter"]


@pytest.mark.parametrize("room", [BIG, USUAL, SMALL], ids=["big", "usual", "small"])
def test_from_the_eighth_on_addresses_stand_several_in_a_row_and_none_is_cut(
    qtbot: QtBot, room: tuple[int, int]
) -> None:
    shown = Shown(qtbot, Look(LIGHT), room)
    many_quiet(shown)

    rows = shown.view.quiet.names.shown_rows()
    assert len(rows) == 10
    assert len({row.y() for row in rows}) < 10
    assert all(row.name_shown() == "" for row in rows)
    assert all(row.x() >= 0 and row.geometry().right() < shown.view.quiet.names.width() for row in rows)


# Readers


def test_parts_of_pictures_are_children_for_readers(shown: Shown) -> None:
    if not hasattr(QAccessible, "setActive"):
        pytest.skip("this binding cannot pretend that somebody reads")
    QAccessible.setActive(True)
    try:
        done(shown)

        names = {one.accessibleName() for one in shown.view.search.addresses.picture.findChildren(QWidget)}
    finally:
        QAccessible.setActive(False)

    assert len(names) == 250
    assert "56, answered at 4800 no parity, not in plan" in names


# The rail


def test_the_rail_says_how_far_things_are(shown: Shown) -> None:
    ready(shown)
    notes = [shown.page.note.words]
    shown.play([Kept(0, JobStarted(1, "search", 0.0), 0.0)])
    notes.append(shown.page.note.words)
    done(shown)
    notes.append(shown.page.note.words)

    assert notes == ["", "running", "8 of 11"]

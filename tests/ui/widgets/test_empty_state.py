"""An empty page under a high band: what it says first stays whole, the rest gives way."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication
from pytestqt.qtbot import QtBot

from buswalk.ui.empty_words import EmptyWords
from buswalk.ui.look import Look
from buswalk.ui.palettes import LIGHT
from buswalk.ui.widgets.empty_state import EmptyState
from buswalk.ui.widgets.labels import Text

WORDS = EmptyWords("Here stands what was not clean on this line.", "299 clean requests.", "Watch", "F5", "Reads only.")


@pytest.mark.parametrize(("height", "whole"), [(160, 1), (400, 3)], ids=["under a band", "usual"])
def test_no_line_is_squeezed(qtbot: QtBot, height: int, whole: int) -> None:
    empty = EmptyState(Look(LIGHT), WORDS)
    qtbot.addWidget(empty)
    empty.resize(760, 600)
    empty.show()
    empty.resize(760, height)
    QApplication.processEvents()

    lines = [one for one in empty.findChildren(Text) if one.isVisible()]
    assert len(lines) == whole
    for one in lines:
        assert one.height() >= one.heightForWidth(one.width())
    assert empty.button.geometry().bottom() < height

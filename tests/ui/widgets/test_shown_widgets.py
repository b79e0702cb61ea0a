"""The walk that other tests rely on finds what is wrong: a cut word, a widget without a name."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QPushButton, QVBoxLayout, QWidget
from pytestqt.qtbot import QtBot

from buswalk.ui.look import Look
from buswalk.ui.sizes import TEXT
from buswalk.ui.widgets.button import Button
from buswalk.ui.widgets.entries import Choice
from buswalk.ui.widgets.labels import NameText, Text, sentence
from buswalk.ui.widgets.table import Cell, Column, Table
from tests.fakes.shown_widgets import cut, unnamed

WORDS = "these words are longer than the room they have"
LOOK = Look()


def shown(qtbot: QtBot, inside: QWidget) -> QWidget:
    window = QWidget()
    window.setAccessibleName("window")
    qtbot.addWidget(window)
    QVBoxLayout(window).addWidget(inside)
    window.show()
    return window


@pytest.mark.parametrize("kind", ["label", "button", "choice", "sentence", "table"])
def test_a_cut_word_is_found(qtbot: QtBot, kind: str) -> None:
    made: dict[str, QWidget] = {
        "label": Text(LOOK, LOOK.regular(TEXT), WORDS),
        "button": Button(LOOK, WORDS),
        "choice": Choice(LOOK, "choice", (WORDS,)),
        "sentence": sentence(LOOK, WORDS),
        "table": _table(),
    }
    one = made[kind]
    window = shown(qtbot, one)
    one.setFixedSize(100, 20)
    qtbot.wait(1)

    assert WORDS in cut(window) or "choice" in cut(window)


def _table() -> Table:
    table = Table(LOOK, "table", (Column("Head", 100),))
    table.show_rows([(Cell(WORDS),)])
    return table


def test_a_name_of_a_device_may_be_cut_and_is_whole_in_its_tool_tip(qtbot: QtBot) -> None:
    name = NameText(LOOK, LOOK.regular(TEXT), WORDS)
    window = shown(qtbot, name)
    name.setFixedWidth(100)
    name.show_text(WORDS)

    assert cut(window) == []
    assert name.text().endswith("…")
    assert (name.toolTip(), name.accessibleName()) == (WORDS, WORDS)


def test_a_widget_without_a_name_is_found(qtbot: QtBot) -> None:
    window = shown(qtbot, QPushButton())

    assert unnamed(window) == ["QPushButton in QWidget"]

"""The top of every page: its name, views of it, one sentence of state, buttons at the right with the main one last."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import PAGE_NAME_TEXT, PAGE_TOP, SPACE_S, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.band import Band
from buswalk.ui.widgets.labels import Text
from buswalk.ui.widgets.segment import Segment


class PageTop(QWidget):
    """Where there is little room the sentence stands under the name.

    `band` is the shell's: what means fail, and which command was refused, is said there, and no page need say it.

    A page that has something of its own to say in a band makes a second one below.
    """

    def __init__(self, look: Look, narrow: Narrow, name: str, parts: Sequence[QWidget] = ()) -> None:
        """`parts` in order: a segment if the page has views, then the buttons, the main one last."""
        super().__init__()
        self.setAccessibleName(f"top of {name}")
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(4))
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        self._name = Text(look, look.bold(PAGE_NAME_TEXT), name)
        self._name.setFixedHeight(look.px(PAGE_TOP))
        self._sentence = Text(look, look.regular(TEXT), "", Tone.INK2)
        self._sentence.setWordWrap(True)
        self._sentence.setAlignment(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        row.addWidget(self._name)
        row.addSpacing(look.px(SPACE_S) - 2)
        segments = [one for one in parts if isinstance(one, Segment)]
        for one in segments:
            row.addWidget(one)
            row.addSpacing(look.px(4))
        if narrow is Narrow.NO:
            row.addWidget(self._sentence, 1)
        else:
            row.addStretch(1)
        for part in parts:
            if part not in segments:
                row.addWidget(part)
        column.addLayout(row)
        if narrow is Narrow.YES:
            column.addWidget(self._sentence)
        self.band = Band(look)
        column.addWidget(self.band)

    def show_sentence(self, words: str, tone: Tone = Tone.INK2) -> None:
        """Show the sentence of state."""
        self._sentence.show_text(words, tone)

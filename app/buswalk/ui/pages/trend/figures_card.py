"""A card of six figures, three a row, with a sentence below."""

from __future__ import annotations

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.trend.trend_state import FiguresState
from buswalk.ui.sizes import CAPTION_TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import CaptionValue, NameText, sentence

A_ROW = 3
MOST = 6
NAME_STRETCH = 100
"""The name takes all that the title leaves, and is cut at its end where that is too little."""


class FiguresCard(Card):
    """Shows a FiguresState."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, "")
        self._look = look
        self._name = NameText(look, look.regular(CAPTION_TEXT), "", Tone.INK2)
        self._name.setAlignment(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignRight)
        self.add_to_head(self._name, NAME_STRETCH)
        self._figures_room = QWidget()
        self._grid = QGridLayout(self._figures_room)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(look.px(8))
        self._grid.setVerticalSpacing(look.px(3))
        self._shown = [CaptionValue(look, "-") for _ in range(MOST)]
        for at, one in enumerate(self._shown):
            self._grid.addWidget(one, at // A_ROW, at % A_ROW)
        self._sentence = sentence(look)
        self.body.addWidget(self._figures_room)
        self.body.addWidget(self._sentence)

    def show_figures(self, state: FiguresState) -> None:
        """Show other figures."""
        self.show_title(state.title)
        self._name.show_text(state.aside, Tone.INK2)
        self._figures_room.setVisible(bool(state.figures))
        for one, figure in zip(self._shown, state.figures, strict=False):
            one.show_caption(figure.caption)
            one.show_value(figure.value)
        self._sentence.show_text(state.sentence, Tone.INK if state.figures else Tone.INK2)
        self._sentence.setVisible(bool(state.sentence))

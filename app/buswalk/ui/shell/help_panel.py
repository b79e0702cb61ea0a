"""The panel that F1 opens at the right of a page: what the page is for, its keys, and how the window looks."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from buswalk.domain.preferences import PaletteChoice, Preferences, TextSize
from buswalk.ui.look import Look
from buswalk.ui.pages.page import KeyHelp, PageHelp
from buswalk.ui.shell.help_words import KEYS_EVERYWHERE, STRIP_KEYS
from buswalk.ui.sizes import SPACE_M, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import ColumnArea
from buswalk.ui.widgets.labels import Text, caption, heading, sentence
from buswalk.ui.widgets.segment import Segment

WIDTH = 400
_PALETTES = (PaletteChoice.LIGHT, PaletteChoice.DARK, PaletteChoice.SYSTEM)
_SIZES = tuple(TextSize)


class HelpPanel(Card):
    """Not a dialog: the page goes on, the line stays in sight."""

    preferred = Signal(object)
    """Preferences as chosen here."""
    closed = Signal()

    def __init__(
        self, look: Look, title: str, help_of_page: PageHelp, focused_help: str, preferences: Preferences
    ) -> None:
        super().__init__(look, f"{title}: keys and look")
        self._look = look
        self._preferences = preferences
        self.setAutoFillBackground(False)
        close = Button(look, "Close", ButtonWeight.SMALL, "F1")
        close.clicked.connect(lambda _checked=False: self.closed.emit())
        self.add_to_head(close)
        content = QWidget()
        content.setAccessibleName("help")
        column = QVBoxLayout(content)
        column.setContentsMargins(0, 0, look.px(SPACE_M), 0)
        column.setSpacing(look.px(6))
        column.addWidget(sentence(look, help_of_page.purpose, Tone.INK))
        if focused_help:
            column.addWidget(sentence(look, focused_help))
        for words, keys in (
            ("Keys of this page", help_of_page.keys),
            ("Keys everywhere", KEYS_EVERYWHERE),
            ("On the live strip", STRIP_KEYS),
        ):
            if keys:
                column.addSpacing(look.px(6))
                column.addWidget(heading(look, words))
                column.addLayout(self._key_table(keys))
        self._add_choices(column)
        column.addStretch(1)
        self.body.addWidget(ColumnArea("help", content))
        self.first_focus = close

    def _key_table(self, keys: tuple[KeyHelp, ...]) -> QGridLayout:
        grid = QGridLayout()
        grid.setHorizontalSpacing(self._look.px(SPACE_M))
        grid.setVerticalSpacing(self._look.px(3))
        grid.setColumnStretch(1, 1)
        for row, one in enumerate(keys):
            grid.addWidget(Text(self._look, self._look.bold(TEXT), one.keys), row, 0, Qt.AlignmentFlag.AlignTop)
            grid.addWidget(sentence(self._look, one.does), row, 1)
        return grid

    def _add_choices(self, column: QVBoxLayout) -> None:
        look, now = self._look, self._preferences
        column.addSpacing(look.px(6))
        column.addWidget(heading(look, "Look and sound"))
        palettes = Segment(look, "Palette", ("light", "dark", "as the system"), 30)
        palettes.show_chosen(_PALETTES.index(now.palette))
        palettes.chosen.connect(lambda at: self.preferred.emit(replace(now, palette=_PALETTES[at])))
        sizes = Segment(look, "Text size", tuple(f"{one.value} %" for one in _SIZES), 30)
        sizes.show_chosen(_SIZES.index(now.text_size))
        sizes.chosen.connect(lambda at: self.preferred.emit(replace(now, text_size=_SIZES[at])))
        sounds = Segment(look, "Sound", ("off", "on"), 30)
        sounds.show_chosen(int(now.has_sound))
        sounds.chosen.connect(lambda at: self.preferred.emit(replace(now, has_sound=bool(at))))
        for words, segment in (("Palette", palettes), ("Text size", sizes), ("Sound", sounds)):
            row = QHBoxLayout()
            label = caption(look, words)
            label.setFixedWidth(look.px(72))
            row.addWidget(label)
            row.addWidget(segment)
            row.addStretch(1)
            column.addLayout(row)

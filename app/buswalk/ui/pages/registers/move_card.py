"""The guided job that moves a device: what it is, where to, what is written, the cautions, the confirmation."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QLabel, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.move_state import MoveState, MoveTyped
from buswalk.ui.pages.registers.move_words import COMPANY_TICK
from buswalk.ui.sizes import KEY_VALUE_TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, Entry, Tick
from buswalk.ui.widgets.labels import Text, caption, sentence


@dataclass(frozen=True, slots=True)
class MoveActs:
    """What the card asks for."""

    change: Callable[[MoveTyped], None]
    begin: Callable[[], None]
    stop: Callable[[], None]


class MoveCard(Card):
    """Shows a MoveState; steps are numbered in the order in which they are done."""

    def __init__(self, look: Look, narrow: Narrow, acts: MoveActs) -> None:
        super().__init__(look, "Move to another address or speed", "F2: back to the values")
        self._acts = acts
        self._cleared = 0
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(12))
        grid.setVerticalSpacing(look.px(4))
        grid.setColumnStretch(1, 1)
        self._device, self._alone, self._places = (sentence(look) for _ in range(3))
        self._hint, self._told = sentence(look), sentence(look)
        self._cautions = sentence(look, "", Tone.DOUBT)
        self.address, self.writes = (
            Entry(look, "new address", 5),
            Entry(look, "registers and values to write, in order"),
        )
        self.speed, self.framing = Choice(look, "new speed"), Choice(look, "new framing")
        self.confirm = Entry(look, "confirm the new place", 14)
        self._confirm_words = caption(look)
        self.company = Tick(look, COMPANY_TICK)
        self.begin = Button(look, "Write, and look for it", ButtonWeight.NORMAL)
        self.cancel = Button(look, "Cancel", ButtonWeight.NORMAL, "Esc")
        confirm = (self._confirm_words, self.confirm, self.begin, self.cancel)
        steps: tuple[tuple[QWidget, ...], ...] = (
            (self._device, self._alone),
            (_row(look, caption(look, "New address"), self.address, self.speed, self.framing),),
            (_row(look, caption(look, "Written"), self.writes, is_filled=True), self._hint),
            (self._places,),
            (self._cautions, self.company, _row(look, *confirm[:2]), button_row(look, *confirm[2:]))
            if narrow is Narrow.YES
            else (self._cautions, self.company, _row(look, *confirm)),
        )
        at = 0
        for number, widgets in enumerate(steps, start=1):
            mark = Text(look, look.bold(KEY_VALUE_TEXT), str(number))
            grid.addWidget(mark, at, 0, Qt.AlignmentFlag.AlignTop)
            for widget in widgets:
                grid.addWidget(widget, at, 1)
                at += 1
            grid.setRowMinimumHeight(at, look.px(4))
            at += 1
        self.body.addLayout(grid)
        self.body.addWidget(self._told)
        self.body.addStretch(1)
        self._connect()

    def _connect(self) -> None:
        for entry in (self.address, self.writes, self.confirm):
            entry.textEdited.connect(lambda _text: self._changed())
        for choice in (self.speed, self.framing):
            choice.activated.connect(lambda _index: self._changed())
        self.company.clicked.connect(lambda _checked=False: self._changed())
        self.confirm.returnPressed.connect(self._begin)
        self.begin.clicked.connect(lambda _checked=False: self._begin())
        self.cancel.clicked.connect(lambda _checked=False: self._acts.stop())

    def show_move(self, state: MoveState) -> None:
        """Show another state; an entry that is being typed into keeps its text."""
        for text, words, tone in (
            (self._device, state.device, Tone.INK),
            (self._alone, state.alone, Tone.INK2),
            (self._hint, state.hint, state.hint_tone),
            (self._places, state.places, Tone.INK2),
            (self._told, state.told, state.told_tone),
        ):
            text.show_text(words, tone)
        self._told.setVisible(bool(state.told))
        self._cautions.show_text("\n".join(f"▲  {one}" for one in state.cautions), Tone.DOUBT)
        self._show_entries(state)
        self._confirm_words.show_text(state.confirm_words)
        self.company.setVisible(state.has_company)
        self.company.setChecked(state.may_have_company)
        self.begin.show_words(state.button, "Enter")
        if state.refusal:
            self.begin.refuse(state.refusal)
        else:
            self.begin.allow()
        self.cancel.setVisible(bool(state.cancel))
        self.cancel.show_words(state.cancel or "Cancel", "Esc")

    def _show_entries(self, state: MoveState) -> None:
        for entry, words in ((self.address, state.address), (self.writes, state.writes)):
            if not entry.hasFocus() and entry.text() != words:
                entry.setText(words)
        if state.clear_confirmation != self._cleared:
            self._cleared = state.clear_confirmation
            self.confirm.clear()
        for choice, words_of, chosen in (
            (self.speed, state.speeds, state.speed),
            (self.framing, state.framings, state.framing),
        ):
            choice.show_choices(words_of)
            choice.show_chosen(chosen)

    def _changed(self) -> None:
        self._acts.change(
            MoveTyped(
                self.address.text(),
                max(0, self.speed.currentIndex()),
                max(0, self.framing.currentIndex()),
                self.writes.text(),
                self.confirm.text(),
                self.company.isChecked(),
            )
        )

    def _begin(self) -> None:
        self._changed()
        self._acts.begin()


def _row(look: Look, *widgets: QWidget, is_filled: bool = False) -> QWidget:
    """Put widgets side by side; the last one takes what is left where it is to fill the row."""
    pane = QWidget()
    pane.setAccessibleName(", ".join(one.text() for one in widgets if isinstance(one, QLabel) and one.text()) or "row")
    row = QHBoxLayout(pane)
    row.setContentsMargins(0, 0, 0, 0)
    row.setSpacing(look.px(10))
    for widget in widgets:
        row.addWidget(widget, 1 if is_filled and widget is widgets[-1] else 0)
    if not is_filled:
        row.addStretch(1)
    return pane

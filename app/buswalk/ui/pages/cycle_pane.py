"""The cycle of a watch in two cards: what it is spent on, and what it would be if."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QBoxLayout, QFormLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.cycle_desk import CycleDesk
from buswalk.ui.pages.cycle_state import BarLine, CycleChoice, CycleState, WhatIfState
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CARD_GAP, ENTRY, RESULT_TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, Entry
from buswalk.ui.widgets.labels import Text, caption, sentence
from buswalk.ui.widgets.share_bars import ShareBars

SILENT_COLUMNS = 14
NOTHING_CHOSEN = "Choose what would be different: the cycle is forecast from what was measured."


class CycleCard(Card):
    """How long a cycle is, what it is spent on, what would help."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, "Cycle")
        self._cycle = Text(look, look.bold(RESULT_TEXT))
        self._told = sentence(look)
        self._limits, self._helps = caption(look, "What limits it"), caption(look, "What would help most")
        self._parts, self._saved = ShareBars(look, "what limits the cycle"), ShareBars(look, "what would help most")
        self._sentences = sentence(look)
        self.back = Button(look, "Back", ButtonWeight.SMALL, "F3")
        self.add_to_head(self.back)
        for one in (self._cycle, self._told, self._limits, self._parts, self._helps, self._saved, self._sentences):
            self.body.addWidget(one)
        self.body.addStretch(1)

    def show_cycle(self, state: CycleState) -> None:
        """Show it, or why there is none yet."""
        self._cycle.show_text(state.cycle)
        self._cycle.setVisible(bool(state.cycle))
        self._told.show_text(state.told, Tone.INK2)
        for head, bars, lines in ((self._limits, self._parts, state.parts), (self._helps, self._saved, state.helps)):
            head.setVisible(bool(lines))
            bars.setVisible(bool(lines))
            bars.show_lines(_lines(lines))
        self._sentences.show_text("\n".join(state.sentences), Tone.INK)
        self._sentences.setVisible(bool(state.sentences))


class WhatIfCard(Card):
    """A few choices, and the cycle now and then."""

    changed = Signal()

    def __init__(self, look: Look, desk: CycleDesk) -> None:
        super().__init__(look, "What if")
        self.speed, self.time_out = Choice(look, "what if: speed"), Choice(look, "what if: time-out")
        self.more, self.like = Choice(look, "what if: devices more"), Choice(look, "what if: devices more, like")
        self.silent = Entry(look, "what if: these devices silent", SILENT_COLUMNS)
        self.silent.setPlaceholderText("such as 21, 24")
        form = QFormLayout()
        form.setHorizontalSpacing(look.px(10))
        form.setVerticalSpacing(look.px(6))
        rows: tuple[tuple[str, QWidget], ...] = (
            ("All at the speed", self.speed),
            ("Replies waited for", self.time_out),
            ("Devices more", self.more),
            ("Those like", self.like),
            ("Silent: addresses", self.silent),
        )
        for words, one in rows:
            label = caption(look, words)
            label.setFixedHeight(look.px(ENTRY))
            form.addRow(label, one)
        self.body.addLayout(form)
        self._problem, self._told = sentence(look), sentence(look)
        self._bars = ShareBars(look, "cycle now and then")
        for one in (self._problem, self._bars, self._told):
            self.body.addWidget(one)
        self.body.addStretch(1)
        choices: tuple[tuple[Choice, Callable[[int], None]], ...] = (
            (self.speed, desk.choose_speed),
            (self.time_out, desk.choose_time_out),
            (self.more, desk.choose_more),
            (self.like, desk.choose_like),
        )
        for choice, choose in choices:
            choice.activated.connect(lambda at, choose=choose: self._do(lambda: choose(at)))
        self.silent.textEdited.connect(lambda text: self._do(lambda: desk.type_silent(text)))

    def _do(self, act: Callable[[], None]) -> None:
        act()
        self.changed.emit()

    def show_what_if(self, state: WhatIfState) -> None:
        """Show the choices and what came of them."""
        pairs = ((self.speed, state.speeds), (self.time_out, state.time_outs), (self.more, state.more))
        for widget, choice in (*pairs, (self.like, state.like)):
            _show_choice(widget, choice)
        self._problem.show_text(state.problem, Tone.FAULT)
        self._problem.setVisible(bool(state.problem))
        self._bars.show_lines(_lines(state.bars))
        self._bars.setVisible(bool(state.bars))
        told = "\n".join(state.sentences) or NOTHING_CHOSEN
        self._told.show_text(told, Tone.INK if state.sentences else Tone.INK2)


class CyclePane(QWidget):
    """Both cards; the second only once something is measured."""

    def __init__(self, look: Look, narrow: Narrow, desk: CycleDesk) -> None:
        super().__init__()
        self.setAccessibleName("cycle of the watch")
        self._desk = desk
        self._shown: CycleState | None = None
        self.cycle, self.what_if = CycleCard(look), WhatIfCard(look, desk)
        self.what_if.changed.connect(self.refresh)
        is_narrow = narrow is Narrow.YES
        row = QBoxLayout(QBoxLayout.Direction.TopToBottom if is_narrow else QBoxLayout.Direction.LeftToRight)
        row.setSpacing(look.px(CARD_GAP))
        row.addWidget(self.cycle, 1)
        row.addWidget(self.what_if, 1)
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addLayout(row)
        column.addStretch(1)

    def refresh(self) -> None:
        """Draw what has changed."""
        state = self._desk.state
        if state != self._shown:
            self._shown = state
            self.cycle.show_cycle(state)
            self.what_if.setVisible(bool(state.cycle))
            self.what_if.show_what_if(state.what_if)

    def panes(self) -> Sequence[QWidget]:
        """The choices, or the way back."""
        return (self.what_if.speed, self.cycle.back) if self._desk.state.cycle else (self.cycle.back,)


def _lines(lines: Sequence[BarLine]) -> list[tuple[str, float, str]]:
    return [(one.words, one.share, one.figure) for one in lines]


def _show_choice(widget: Choice, choice: CycleChoice) -> None:
    if not widget.view().isVisible():
        widget.show_choices(choice.words)
        widget.show_chosen(choice.chosen)

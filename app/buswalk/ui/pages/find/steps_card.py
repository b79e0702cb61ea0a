"""The card of what to do next: numbered, each in bold with a line below, a button where there is something to press."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QGridLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.action_button import ActionButton
from buswalk.ui.pages.find.search_state import Action, StepsState
from buswalk.ui.sizes import KEY_VALUE_TEXT, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import Text

MOST_STEPS = 3


class _StepView:
    """The widgets of one step in a grid."""

    def __init__(self, look: Look, grid: QGridLayout, at: int, pressed: Callable[[Action], None]) -> None:
        self._number = Text(look, look.bold(KEY_VALUE_TEXT), str(at + 1))
        self._headline = Text(look, look.bold(TEXT)).wrapped()
        self._words = Text(look, look.regular(TEXT), "", Tone.INK2).wrapped()
        self._button = ActionButton(look, ButtonWeight.SMALL, pressed)
        top = 3 * at
        grid.addWidget(self._number, top, 0, 2, 1, Qt.AlignmentFlag.AlignVCenter)
        grid.addWidget(self._headline, top, 1)
        grid.addWidget(self._words, top + 1, 1)
        grid.addWidget(self._button, top, 2, 2, 1, Qt.AlignmentFlag.AlignVCenter)
        grid.setRowMinimumHeight(top + 2, look.px(4))

    def show_step(self, state: StepsState, at: int) -> None:
        """Show a step, or nothing where there are fewer."""
        is_there = at < len(state.steps)
        self._number.setVisible(is_there and len(state.steps) > 1)
        for one in (self._headline, self._words):
            one.setVisible(is_there)
        self._button.show_action(state.steps[at].action if is_there else None)
        if is_there:
            self._headline.show_text(state.steps[at].headline)
            self._words.show_text(state.steps[at].words, Tone.INK2)


class StepsCard(QWidget):
    """Shows a StepsState on a card."""

    def __init__(self, look: Look, pressed: Callable[[Action], None]) -> None:
        super().__init__()
        self._state: StepsState | None = None
        self.setAccessibleName("what to do next")
        outer = QGridLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        self._card = Card(look, "What to do next")
        outer.addWidget(self._card)
        content = QWidget()
        content.setAccessibleName("steps")
        grid = QGridLayout(content)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(look.px(12))
        grid.setVerticalSpacing(0)
        grid.setColumnStretch(1, 1)
        self._steps = tuple(_StepView(look, grid, at, pressed) for at in range(MOST_STEPS))
        self._card.body.addWidget(content)
        self._card.body.addStretch(1)

    def show_steps(self, state: StepsState) -> None:
        """Show them."""
        if state == self._state:
            return
        self._state = state
        self._card.show_title(state.title)
        self._card.show_aside(state.aside)
        for at, one in enumerate(self._steps):
            one.show_step(state, at)

"""A button that shows an Action, and hands it back when pressed."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.ui.look import Look
from buswalk.ui.pages.find.search_state import Act, Action
from buswalk.ui.widgets.button import Button, ButtonWeight

NOTHING_TO_PRESS = "nothing to press"


class ActionButton(Button):
    """Hidden while there is no action for it."""

    def __init__(self, look: Look, weight: ButtonWeight, pressed: Callable[[Action], None]) -> None:
        super().__init__(look, "", weight)
        self.setAccessibleName(NOTHING_TO_PRESS)
        self._action = Action(Act.STOP, "")
        self._pressed = pressed
        self.clicked.connect(self._press)

    def show_action(self, action: Action | None) -> None:
        """Show another action, or none."""
        self.setVisible(action is not None)
        if action is None or action == self._action:
            return
        self._action = action
        self.show_words(action.words, action.key)
        if action.refusal:
            self.refuse(action.refusal)
        else:
            self.allow()

    def _press(self) -> None:
        self._pressed(self._action)

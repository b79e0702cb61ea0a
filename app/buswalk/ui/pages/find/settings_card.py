"""The card of the settings matrix: how many rows are in sight, and the walked-to setting in words."""

from __future__ import annotations

from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.search_state import SettingsState
from buswalk.ui.pages.find.settings_matrix import SettingsMatrix
from buswalk.ui.widgets.card import Card

ASIDE = "8N1 and 8N2 are asked as one"


class SettingsCard(QWidget):
    """Draws a SettingsState."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._state: SettingsState | None = None
        self.setAccessibleName("settings asked")
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        self._card = Card(look, "Settings", ASIDE)
        self.matrix = SettingsMatrix(look)
        self.matrix.walked.connect(lambda: self._card.show_aside(self.matrix.spoken))
        self._card.body.addWidget(self.matrix, 1)
        outer.addWidget(self._card)

    def show_settings(self, state: SettingsState) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self.matrix.show_state(state)
        self._card.show_aside(self.matrix.spoken if self.matrix.hasFocus() else ASIDE)
        self._say_rows()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Say anew how many rows are in sight."""
        super().resizeEvent(event)
        self._say_rows()

    def _say_rows(self) -> None:
        if self._state is None:
            return
        shown, there = self.matrix.rows_in_sight, len(self._state.rows)
        self._card.show_title("Settings" if shown >= there else f"Settings, {shown} of {there} speeds")

"""The top of the page Registers: its views, the ways to other pages as far as there is room, the main button."""

from __future__ import annotations

from PySide6.QtGui import QResizeEvent

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.registers_state import RegistersFace, RegistersState
from buswalk.ui.sizes import WIDE_FROM
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.page_top import PageTop
from buswalk.ui.widgets.segment import Segment

RAIL_AND_MARGINS = 180


class RegistersTop(PageTop):
    """Shows the sentence and the buttons of a RegistersState."""

    def __init__(self, look: Look, narrow: Narrow) -> None:
        self._look = look
        self._narrow = narrow
        self._is_empty = True
        self.faces = Segment(look, "view", tuple(one.value for one in RegistersFace))
        self.switches = Button(look, "Switches", ButtonWeight.NORMAL, "F7")
        self.trend = Button(look, "Show trend", ButtonWeight.NORMAL)
        self.main = Button(look, "Read once", ButtonWeight.MAIN, "F5")
        super().__init__(look, narrow, "Registers", (self.faces, self.switches, self.trend, self.main))

    def show_state(self, state: RegistersState) -> None:
        """Show another state."""
        self._is_empty = state.is_empty
        self.show_sentence(state.sentence, state.sentence_tone)
        for one in (self.faces, self.main):
            one.setVisible(not state.is_empty)
        self._show_ways()
        if state.is_empty:
            return
        self.faces.show_chosen(list(RegistersFace).index(state.face))
        self.main.show_words(state.main_words, "F5")
        if state.main_refusal:
            self.main.refuse(state.main_refusal)
        elif not self.main.isEnabled():
            self.main.allow()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show the buttons for which there is room."""
        super().resizeEvent(event)
        self._show_ways()

    def _show_ways(self) -> None:
        """The ways to other pages give way first: F7 and Ctrl+5 lead there too."""
        self.switches.setVisible(not self._is_empty and self._narrow is Narrow.NO)
        self.trend.setVisible(not self._is_empty and self.width() >= self._look.px(WIDE_FROM - RAIL_AND_MARGINS))

"""The second question of the write box: what will happen, one button that does it, one that leaves it."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.registers.registers_state import SecondQuestion
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.labels import sentence


class SecondPane(QWidget):
    """Shows a SecondQuestion. The focus begins on leaving: a key that is pressed out of habit writes nothing."""

    def __init__(self, look: Look, confirm: Callable[[], None], leave: Callable[[], None]) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(6))
        self._what = sentence(look)
        self._weighed = sentence(look, "", Tone.DOUBT)
        self.confirm = Button(look, "", ButtonWeight.NORMAL)
        self.leave = Button(look, "Write nothing", ButtonWeight.NORMAL, "Esc")
        self.confirm.clicked.connect(lambda _checked=False: confirm())
        self.leave.clicked.connect(lambda _checked=False: leave())
        for one in (self._what, self._weighed):
            column.addWidget(one)
        column.addWidget(button_row(look, self.leave, self.confirm))

    def show_question(self, question: SecondQuestion) -> None:
        """Show what is asked."""
        self.setAccessibleName(question.title)
        self._what.show_text(question.sentences[0] if question.sentences else "", Tone.INK)
        self._weighed.show_text("\n".join(f"▲  {one}" for one in question.sentences[1:]), Tone.DOUBT)
        self.confirm.show_words(question.button)

    def take_focus(self) -> None:
        """Begin on leaving."""
        self.leave.setFocus(Qt.FocusReason.OtherFocusReason)

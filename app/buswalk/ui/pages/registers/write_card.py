"""The write box: locked until a reason is given, then one value at a time with its cautions and its read-backs."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.registers.registers_state import WriteFace, WriteState
from buswalk.ui.pages.registers.second_pane import SecondPane
from buswalk.ui.pages.registers.write_signs import LockSign, StepsView
from buswalk.ui.pages.registers.write_words import CAUTIONS_OF_UNLOCKING
from buswalk.ui.sizes import KEY_VALUE_TEXT, ROW_OUTCOME, TABLE_HEAD, TEXT
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Entry
from buswalk.ui.widgets.labels import Text, caption, sentence
from buswalk.ui.widgets.table import Table

CHANGE_COLUMNS = (Column("Changed and not put back", 0, may_be_cut=True), Column("From → to", 156, may_be_cut=True))
MOST_CHANGES = 3
LOCKED_WHY = "writing is locked: Ctrl+U asks why it is to be opened"


@dataclass(frozen=True, slots=True)
class WriteActs:
    """What the box asks for."""

    toggle_lock: Callable[[], None]
    unlock: Callable[[str], None]
    leave_question: Callable[[], None]
    write: Callable[[str], None]
    put_back: Callable[[], None]
    put_back_row: Callable[[int], None]
    confirm: Callable[[], None]


class WriteCard(Card):
    """Shows a WriteState."""

    def __init__(self, look: Look, acts: WriteActs) -> None:
        super().__init__(look, "")
        self.setAccessibleName("write one value")
        self._acts = acts
        self._seen_focus = 0
        self._sign = LockSign(look)
        self._headline_of_lock = Text(look, look.bold(TEXT))
        self.lock = Button(look, "Unlock…", ButtonWeight.SMALL, "Ctrl+U")
        self.lock.clicked.connect(lambda _checked=False: acts.toggle_lock())
        head = QHBoxLayout()
        head.addWidget(self._sign)
        head.addWidget(self._headline_of_lock)
        head.addStretch(1)
        head.addWidget(self.lock)
        self.body.addLayout(head)
        self._beside = sentence(look)
        self.body.addWidget(self._beside)
        self._question = self._make_question(look)
        self._value = self._make_value(look)
        self.second = SecondPane(look, acts.confirm, acts.leave_question)
        for one in (self._question, self.second, self._value):
            self.body.addWidget(one)
        self._question.hide()
        self.second.hide()
        self.told = sentence(look)
        self.body.addWidget(self.told)
        self.changes = Table(look, "changed and not put back", CHANGE_COLUMNS, ROW_OUTCOME)
        self.changes.opened.connect(acts.put_back_row)
        self.changes.doubleClicked.connect(lambda index: acts.put_back_row(index.row()))
        self.changes.row_chosen.connect(lambda _row: self._show_whole_change())
        self.whole_change = Text(look, look.bold(TEXT)).wrapped()
        self.put_back_row = Button(look, "Put this one back", ButtonWeight.SMALL)
        self.put_back_row.clicked.connect(lambda _checked=False: acts.put_back_row(self.changes.currentIndex().row()))
        self._changes_note = sentence(look)
        self._put_back_pane = button_row(look, self.put_back_row)
        for below in (self.changes, self.whole_change, self._changes_note, self._put_back_pane):
            self.body.addWidget(below)
        self._look = look

    def _make_question(self, look: Look) -> QWidget:
        pane = QWidget()
        pane.setAccessibleName("open writing for 5 minutes?")
        column = QVBoxLayout(pane)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(6))
        for words in CAUTIONS_OF_UNLOCKING:
            column.addWidget(sentence(look, f"▲  {words}", Tone.DOUBT))
        column.addWidget(caption(look, "Why is it written? The reason is kept in the record."))
        self.reason = Entry(look, "reason")
        self.reason.setPlaceholderText("for example: balancing, bay 1 clear")
        self.reason.returnPressed.connect(self._open)
        column.addWidget(self.reason)
        self.open_button = Button(look, "Open for 5 minutes", ButtonWeight.NORMAL)
        self.leave_button = Button(look, "Leave it locked", ButtonWeight.NORMAL, "Esc")
        self.open_button.clicked.connect(lambda _checked=False: self._open())
        self.leave_button.clicked.connect(lambda _checked=False: self._acts.leave_question())
        column.addWidget(button_row(look, self.open_button, self.leave_button))
        return pane

    def _make_value(self, look: Look) -> QWidget:
        pane = QWidget()
        pane.setAccessibleName("old and new value")
        column = QVBoxLayout(pane)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(4))
        self._done_line = Text(look, look.bold(TEXT)).wrapped()
        self.steps = StepsView(look)
        self._verdict = sentence(look)
        self.put_back = Button(look, "Put back")
        self.put_back.clicked.connect(lambda _checked=False: self._acts.put_back())
        for one in (self._done_line, self.steps, self._verdict):
            column.addWidget(one)
        column.addWidget(button_row(look, self.put_back))
        self._now_caption, self._new_caption = caption(look), caption(look, "New value")
        self._now = Text(look, look.bold(KEY_VALUE_TEXT)).wrapped()
        self.entry = Entry(look, "new value", 14)
        self.entry.returnPressed.connect(self._write)
        self.write = Button(look, "Write and read back", ButtonWeight.NORMAL)
        self.write.clicked.connect(lambda _checked=False: self._write())
        column.addWidget(self._now_caption)
        column.addWidget(self._now)
        row = QHBoxLayout()
        row.setSpacing(look.px(10))
        row.addWidget(self.entry)
        row.addWidget(self.write)
        row.addStretch(1)
        self._values = QWidget()
        self._values.setLayout(row)
        row.setContentsMargins(0, 0, 0, 0)
        self._refusal = sentence(look)
        self._cautions = sentence(look, "", Tone.DOUBT)
        for two in (self._refusal, self._cautions, self._new_caption, self._values):
            column.addWidget(two)
        return pane

    # What is shown

    def show_write(self, state: WriteState) -> None:
        """Show another state."""
        is_open = state.face in (WriteFace.OPEN, WriteFace.SECOND)
        self._sign.show_open(is_open=is_open)
        self._headline_of_lock.show_text(state.title, Tone.DOUBT if is_open else Tone.INK)
        self.lock.show_words("Lock" if is_open else "Unlock…", "Ctrl+U")
        self._beside.show_text(f"▲  {state.beside}", Tone.DOUBT)
        self._beside.setVisible(bool(state.beside))
        self._show_value(state, is_open=is_open)
        self._show_face(state)
        self.told.show_text(state.told, state.told_tone)
        self.told.setVisible(bool(state.told))
        self._show_changes(state)

    def _show_face(self, state: WriteState) -> None:
        """Show the value, or one of the questions; the focus goes along before what has it is hidden."""
        panes: dict[WriteFace, QWidget] = {WriteFace.QUESTION: self._question, WriteFace.SECOND: self.second}
        coming = panes.get(state.face, self._value)
        self.second.show_question(state.second)
        going = next(one for one in (self._value, self._question, self.second) if one.isVisibleTo(self))
        if coming is going:
            return
        had_focus = going.isAncestorOf(self.focusWidget() or self)
        coming.setVisible(True)
        self.lock.setVisible(coming is self._value)
        if coming is self._question:
            self.reason.setText("")
            self.reason.setFocus(Qt.FocusReason.OtherFocusReason)
        elif coming is self.second:
            self.second.take_focus()
        elif had_focus:
            is_for_value = state.face is WriteFace.OPEN and not state.refusal
            (self.entry if is_for_value else self.lock).setFocus(Qt.FocusReason.OtherFocusReason)
        going.setVisible(False)

    def _show_value(self, state: WriteState, *, is_open: bool) -> None:
        for text, words in ((self._done_line, state.headline), (self._verdict, state.verdict)):
            text.show_text(words, Tone.INK if text is self._done_line else Tone.INK2)
            text.setVisible(bool(words))
        self.steps.show_steps(state.steps)
        self.steps.setVisible(bool(state.steps))
        self._show_put_back(state)
        can_be_written = not state.refusal
        self._values.setVisible(can_be_written)
        self._new_caption.setVisible(can_be_written)
        for shown in (self._now_caption, self._now):
            shown.setVisible(can_be_written and not state.headline)
        self._now_caption.show_text(f"{state.name} now")
        self._now.show_text(state.old_value)
        self._new_caption.show_text("Next value, one at a time" if state.headline else "New value")
        if self.entry.placeholderText() != state.hint:
            self.entry.setPlaceholderText(state.hint)
        self.entry.setEnabled(is_open)
        self.entry.setToolTip("" if is_open else LOCKED_WHY)
        self.entry.setAccessibleDescription(state.hint if is_open else LOCKED_WHY)
        self._refusal.show_text(state.refusal)
        self._refusal.setVisible(bool(state.refusal))
        self._cautions.show_text("\n".join(f"▲  {one}" for one in state.cautions), Tone.DOUBT)
        self._cautions.setVisible(bool(state.cautions))
        self.write.show_words(state.write_words)
        if is_open:
            self.write.allow()
        else:
            self.write.refuse(LOCKED_WHY)

    def _show_put_back(self, state: WriteState) -> None:
        self.put_back.setVisible(bool(state.put_back))
        if state.put_back:
            self.put_back.show_words(state.put_back)
            if state.put_back_refusal:
                self.put_back.refuse(state.put_back_refusal)
            else:
                self.put_back.allow()
        if state.focus_wanted != self._seen_focus:
            is_ours = self.isAncestorOf(self.focusWidget() or self)
            self._seen_focus = state.focus_wanted
            if state.put_back and self.put_back.isEnabled() and is_ours and self.isVisible():
                self.put_back.setFocus(Qt.FocusReason.OtherFocusReason)

    def _show_changes(self, state: WriteState) -> None:
        for one in (self.changes, self.whole_change, self._put_back_pane):
            one.setVisible(bool(state.changes))
        self._changes_note.show_text(state.changes_note)
        self._changes_note.setVisible(bool(state.changes_note))
        if state.changes:
            rows = min(len(state.changes), MOST_CHANGES)
            self.changes.setFixedHeight(self._look.px(TABLE_HEAD + rows * ROW_OUTCOME + 2))
            self.changes.show_rows(state.changes)
            if not self.changes.currentIndex().isValid():
                self.changes.choose_row(0)
            self._show_whole_change()

    def _show_whole_change(self) -> None:
        """The chosen row once more, uncut: its place and both values may be longer than the columns."""
        row = self.changes.currentIndex().row()
        if 0 <= row < self.changes.rows_model.rowCount():
            cells = (self.changes.rows_model.cell(row, column).words for column in range(len(CHANGE_COLUMNS)))
            self.whole_change.show_text(": ".join(cells))

    def _open(self) -> None:
        self._acts.unlock(self.reason.text())

    def _write(self) -> None:
        text = self.entry.text()
        self.entry.setText("")
        self._acts.write(text)

"""Bytes of one's own: what is typed, what would leave, the confirmation, and the exchange byte by byte."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import QHBoxLayout

from buswalk.ui.look import Look
from buswalk.ui.pages.faults.byte_rows import ByteRows
from buswalk.ui.pages.faults.exchange_card import MOST_NOTES
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.frame_form import CHECK_SUM_WORDS, CHECK_SUMS, FrameForm
from buswalk.ui.pages.registers.frame_state import FrameState
from buswalk.ui.sizes import KEY_VALUE_TEXT, ROW_OUTCOME, TABLE_HEAD
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Entry, Tick
from buswalk.ui.widgets.labels import Text, caption, heading, sentence
from buswalk.ui.widgets.segment import Segment
from buswalk.ui.widgets.table import Table

COLUMNS = (Column("Sent at", 100), Column("Bytes", 0, may_be_cut=True), Column("What came back", 190))
MOST_ROWS = 3


@dataclass(frozen=True, slots=True)
class FrameActs:
    """What the card asks for."""

    change: Callable[[FrameForm], None]
    confirm: Callable[[bool], None]
    send: Callable[[], None]
    choose: Callable[[int], None]
    type_again: Callable[[int], None]


class FrameCard(Card):
    """Shows a FrameState."""

    def __init__(self, look: Look, narrow: Narrow, acts: FrameActs) -> None:
        super().__init__(look, "Bytes of your own", "sent once, as they are")
        self._look, self._acts = look, acts
        self._state: FrameState | None = None
        self._cautions = sentence(look, "", Tone.DOUBT)
        self.typed = Entry(look, "bytes in hex")
        self.typed.setPlaceholderText("address, function, data in hex: 0B 03 00 00 00 01")
        self.typed.setFont(look.fixed(KEY_VALUE_TEXT))
        self.check_sum = Segment(look, "CRC", CHECK_SUM_WORDS)
        self.wait = Entry(look, "wait for a reply, in seconds", 5)
        self.send = Button(look, "Send", ButtonWeight.NORMAL, "Enter")
        self._leaves = Text(look, look.fixed(KEY_VALUE_TEXT)).wrapped()
        self._meaning, self._told = sentence(look), sentence(look)
        self._confirm = sentence(look, "", Tone.DOUBT)
        self.tick = Tick(look, "confirmed apart")
        waits = caption(look, "Wait"), self.wait, caption(look, "s"), self.send
        rows = QHBoxLayout(), QHBoxLayout()
        rows[0].addWidget(self.check_sum)
        for one in waits:
            rows[1 if narrow is Narrow.YES else 0].addWidget(one)
        for widget in (self._cautions, self.typed):
            self.body.addWidget(widget)
        for row in rows:
            row.setSpacing(look.px(10))
            row.addStretch(1)
            self.body.addLayout(row)
        for text in (self._leaves, self._meaning, self._confirm, self.tick, self._told):
            self.body.addWidget(text)
        self._add_exchange(look)
        self._connect()

    def _add_exchange(self, look: Look) -> None:
        head = QHBoxLayout()
        self._title = heading(look)
        self.copy = Button(look, "Copy bytes", ButtonWeight.SMALL, "Ctrl+Shift+C")
        self.copy.clicked.connect(lambda _checked=False: self.copy_bytes())
        head.addWidget(self._title)
        head.addStretch(1)
        head.addWidget(self.copy)
        self.body.addLayout(head)
        self.rows = ByteRows(look, "bytes of the exchange")
        self.body.addWidget(self.rows)
        self._notes = tuple(sentence(look) for _ in range(MOST_NOTES))
        for note in self._notes:
            self.body.addWidget(note)
        self.body.addStretch(1)
        self.sent = Table(look, "frames sent in this session", COLUMNS, ROW_OUTCOME)
        self._sent_hint = caption(look, "Arrows show one of them; Enter types it again, its CRC as it was.")
        self.body.addWidget(self.sent)
        self.body.addWidget(self._sent_hint)

    def _connect(self) -> None:
        for entry in (self.typed, self.wait):
            entry.textEdited.connect(lambda _text: self._changed())
            entry.returnPressed.connect(self._send)
        self.check_sum.chosen.connect(lambda _index: self._changed())
        self.tick.clicked.connect(self._acts.confirm)
        self.send.clicked.connect(lambda _checked=False: self._send())
        self.sent.row_chosen.connect(self._acts.choose)
        self.sent.opened.connect(self._type_again)

    def show_frame(self, state: FrameState) -> None:
        """Show another state; an entry that is being typed into keeps its text."""
        had, self._state = self._state, state
        for entry, words in ((self.typed, state.typed), (self.wait, state.wait)):
            if not entry.hasFocus() and entry.text() != words:
                entry.setText(words)
        self.check_sum.show_chosen(state.check_sum)
        self._cautions.show_text("\n".join(f"▲  {one}" for one in state.cautions), Tone.DOUBT)
        self._leaves.show_text(state.leaves)
        self._leaves.setVisible(bool(state.leaves))
        self._meaning.show_text(state.meaning, state.meaning_tone)
        self._confirm.show_text(state.confirm, Tone.DOUBT)
        for one in (self._confirm, self.tick):
            one.setVisible(bool(state.confirm))
        self.tick.setChecked(state.is_confirmed)
        self._told.show_text(state.told, state.told_tone)
        self._told.setVisible(bool(state.told))
        if state.refusal:
            self.send.refuse(state.refusal)
        else:
            self.send.allow()
        if had is None or had.exchange != state.exchange or had.sent != state.sent:
            self._show_exchange(state)

    def _show_exchange(self, state: FrameState) -> None:
        exchange = state.exchange
        for one in (self._title, self.copy, self.rows):
            one.setVisible(exchange is not None)
        notes = exchange.notes if exchange is not None else ()
        for widget, note in zip(self._notes, (*notes, *(None,) * MOST_NOTES), strict=False):
            widget.setVisible(note is not None)
            if note is not None:
                widget.show_text(note.words, note.tone)
        if exchange is not None:
            self._title.show_text(exchange.title)
            self.rows.show_rows(exchange.rows)
        self.sent.setVisible(len(state.sent) > 1)
        self._sent_hint.setVisible(len(state.sent) > 1)
        rows = min(len(state.sent), MOST_ROWS)
        self.sent.setFixedHeight(self._look.px(TABLE_HEAD + rows * ROW_OUTCOME + 2))
        self.sent.show_rows(state.sent)

    def copy_bytes(self) -> None:
        """Ctrl+Shift+C."""
        if self._state is not None and self._state.exchange is not None:
            QGuiApplication.clipboard().setText(self._state.exchange.copied)

    def _changed(self) -> None:
        self._acts.change(FrameForm(self.typed.text(), CHECK_SUMS[self.check_sum.index], self.wait.text()))

    def _send(self) -> None:
        self._changed()
        self._acts.send()

    def _type_again(self, row: int) -> None:
        self._acts.type_again(row)
        self.typed.setFocus()
        if self._state is not None:
            self.typed.setText(self._state.typed)

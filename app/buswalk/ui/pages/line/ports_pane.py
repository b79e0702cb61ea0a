"""Where a port is chosen: the ports there are, by adapter; settings; expert settings."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QBoxLayout, QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from buswalk.domain.line.port_options import PortOptions
from buswalk.ui.look import Look
from buswalk.ui.pages.line.port_desk import (
    DIRECTION_WORDS,
    DIRECTIONS,
    EXAMPLES,
    FRAMINGS,
    SPEEDS,
    PortForm,
    PortsState,
)
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CARD_GAP
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, Entry, Tick
from buswalk.ui.widgets.labels import caption, sentence
from buswalk.ui.widgets.table import Table

SIDE_WIDTH = 392
COLUMNS = (Column("Adapter", 236), Column("Port", 216), Column("What it is", 0, may_be_cut=True), Column("State", 150))


class PortsPane(QWidget):
    """Shows a PortsState; tells what was written, chosen, and that it is to be opened."""

    row_chosen = Signal(int)
    written = Signal(object)
    open_wanted = Signal()

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self._look = look
        self._form = PortForm()
        self._speeds = list(SPEEDS)
        self.setAccessibleName("ports")
        is_narrow = narrow is Narrow.YES
        row = QBoxLayout(QBoxLayout.Direction.TopToBottom if is_narrow else QBoxLayout.Direction.LeftToRight, self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px(CARD_GAP))
        row.addWidget(self._ports_card(), 1)
        side = QWidget()
        column = QVBoxLayout(side)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(CARD_GAP))
        column.addWidget(self._settings_card())
        column.addWidget(self._expert_card())
        column.addStretch(1)
        if not is_narrow:
            side.setFixedWidth(look.px(SIDE_WIDTH))
        row.addWidget(side)

    def show_ports(self, state: PortsState) -> None:
        """Show ports and the form."""
        self._card.show_aside(state.aside)
        self.table.show_rows(state.rows)
        if state.chosen >= 0:
            self.table.choose_row(state.chosen)
        form = state.form
        self._form = form
        if self.port.text() != form.port:
            self.port.setText(form.port)
        self._speed.show_choices([*map(str, SPEEDS), *([form.speed] if form.speed not in map(str, SPEEDS) else [])])
        self._speed.show_chosen(self._speed.findText(form.speed))
        self._framing.show_chosen(FRAMINGS.index(form.framing))
        self.shows_expert.setChecked(form.shows_expert)
        self.expert.setVisible(form.shows_expert)
        self._direction.show_chosen(DIRECTIONS.index(form.options.direction))
        self._dtr.setChecked(form.options.dtr)
        self.rts.setChecked(form.options.rts)
        self._low_latency.setChecked(form.options.low_latency)
        if self._connect.text() != form.connect_s:
            self._connect.setText(form.connect_s)
        self._refusal.show_text(f"{state.open_refused}." if state.open_refused else "", Tone.DOUBT)
        self._refusal.setVisible(bool(state.open_refused))
        self._caution.show_text(state.caution, Tone.DOUBT)
        self._caution.setVisible(bool(state.caution))

    def _ports_card(self) -> Card:
        look = self._look
        self._card = Card(look, "Ports of this computer")
        self._card.let_body_reach_edges()
        self.table = Table(look, "ports of this computer", COLUMNS)
        self.table.setMinimumHeight(look.px(28 + 4 * 32))
        self.table.row_chosen.connect(self.row_chosen.emit)
        self.table.opened.connect(lambda _row: self.open_wanted.emit())
        self._card.body.addWidget(self.table, 1)
        below = QVBoxLayout()
        below.setContentsMargins(look.px(11), look.px(4), look.px(11), look.px(8))
        below.addWidget(caption(look, "Port, as chosen above or as you write it"))
        self.port = Entry(look, "port")
        self.port.textEdited.connect(lambda text: self._write(replace(self._form, port=text)))
        self.port.returnPressed.connect(self.open_wanted.emit)
        below.addWidget(self.port)
        examples = caption(look, f"Such as {EXAMPLES}.")
        examples.setWordWrap(True)
        below.addWidget(examples)
        self._refusal = sentence(look)
        below.addWidget(self._refusal)
        self._card.body.addLayout(below)
        return self._card

    def _settings_card(self) -> Card:
        look = self._look
        card = Card(look, "Settings to begin with")
        self._speed = Choice(look, "speed in baud", [str(one) for one in SPEEDS])
        self._framing = Choice(look, "framing", FRAMINGS)
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(12))
        for i, (words, choice) in enumerate((("Speed", self._speed), ("Framing", self._framing))):
            grid.addWidget(caption(look, words), 0, i)
            grid.addWidget(choice, 1, i)
            grid.setColumnStretch(i, 1)
        card.body.addLayout(grid)
        card.body.addWidget(sentence(look, "A search changes them by itself; listening hears at these."))
        self._speed.activated.connect(lambda _i: self._write(replace(self._form, speed=self._speed.currentText())))
        self._framing.activated.connect(lambda i: self._write(replace(self._form, framing=FRAMINGS[i])))
        self.shows_expert = Tick(look, "Expert settings")
        self.shows_expert.toggled.connect(lambda is_on: self._write(replace(self._form, shows_expert=is_on)))
        card.body.addWidget(self.shows_expert)
        return card

    def _expert_card(self) -> Card:
        look = self._look
        card = self.expert = Card(look, "Expert settings")
        self._direction = Choice(look, "who switches the driver", DIRECTION_WORDS)
        self._direction.activated.connect(lambda i: self._option(replace(self._form.options, direction=DIRECTIONS[i])))
        self._dtr, self.rts = Tick(look, "DTR on"), Tick(look, "RTS on")
        self._low_latency = Tick(look, "Ask for low latency")
        self._dtr.toggled.connect(lambda is_on: self._option(replace(self._form.options, dtr=is_on)))
        self.rts.toggled.connect(lambda is_on: self._option(replace(self._form.options, rts=is_on)))
        self._low_latency.toggled.connect(lambda is_on: self._option(replace(self._form.options, low_latency=is_on)))
        self._connect = Entry(look, "seconds that a network port may take to answer", 5)
        self._connect.textEdited.connect(lambda text: self._write(replace(self._form, connect_s=text)))
        card.body.addWidget(caption(look, "Direction: the driver is switched"))
        card.body.addWidget(self._direction)
        ticks = QHBoxLayout()
        for one in (self._dtr, self.rts):
            ticks.addWidget(one)
        ticks.addStretch(1)
        card.body.addLayout(ticks)
        card.body.addWidget(self._low_latency)
        wait = QHBoxLayout()
        wait.addWidget(caption(look, "A network port may take"))
        wait.addWidget(self._connect)
        wait.addWidget(caption(look, "s to answer"))
        wait.addStretch(1)
        card.body.addLayout(wait)
        self._caution = sentence(look)
        card.body.addWidget(self._caution)
        return card

    def _option(self, options: PortOptions) -> None:
        self._write(replace(self._form, options=options))

    def _write(self, form: PortForm) -> None:
        if form != self._form:
            self._form = form
            self.written.emit(form)

"""How the list describes the focused point, to be changed; under the points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from PySide6.QtWidgets import QGridLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.describe_desk import PointForm
from buswalk.ui.pages.registers.registers_state import DescribeState
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, Entry
from buswalk.ui.widgets.labels import caption, sentence

NOTHING_TO_UNDO = "nothing was changed"


@dataclass(frozen=True, slots=True)
class DescribeActs:
    """What the card asks for."""

    change: Callable[[PointForm], None]
    undo: Callable[[], None]
    keep: Callable[[str], None]
    bring_in: Callable[[], None]
    choose_export_notation: Callable[[int], None]
    export: Callable[[], None]


class DescribeCard(Card):
    """Shows a DescribeState."""

    def __init__(self, look: Look, narrow: Narrow, acts: DescribeActs) -> None:
        super().__init__(look, "Describe")
        self._acts = acts
        self._shown: DescribeState | None = None
        self._refusal = sentence(look)
        self.body.addWidget(self._refusal)
        self.words, self.unit = Entry(look, "name of the point", 24), Entry(look, "unit", 8)
        self.kind = Choice(look, "type and order")
        self.scale, self.offset = Entry(look, "scale", 9), Entry(look, "offset", 9)
        self.decimals = Entry(look, "decimals", 3)
        self._form = QWidget()
        grid = QGridLayout(self._form)
        grid.setContentsMargins(0, 0, 0, 0)
        grid.setHorizontalSpacing(look.px(12))
        grid.setVerticalSpacing(look.px(4))
        parts = (
            ("Name", self.words),
            ("Type and order", self.kind),
            ("Scale", self.scale),
            ("Offset", self.offset),
            ("Unit", self.unit),
            ("Decimals", self.decimals),
        )
        for i, (words, widget) in enumerate(parts):
            across = i % 2 if narrow is Narrow.YES or i < 2 else i - 2
            row = 2 * (i // 2) if narrow is Narrow.YES else 0 if i < 2 else 2
            span = 2 if narrow is Narrow.NO and i < 2 else 1
            grid.addWidget(caption(look, words), row, across * span, 1, span)
            grid.addWidget(widget, row + 1, across * span, 1, span)
        grid.setColumnStretch(5, 1)
        self.body.addWidget(self._form)
        self.change = Button(look, "Change the description", ButtonWeight.NORMAL, "Enter")
        self.undo = Button(look, "Take back", ButtonWeight.NORMAL, "Ctrl+Z")
        self.change.clicked.connect(lambda _checked=False: self._change())
        self.undo.clicked.connect(lambda _checked=False: acts.undo())
        for entry in (self.words, self.scale, self.offset, self.unit, self.decimals):
            entry.returnPressed.connect(self._change)
        self.body.addWidget(button_row(look, self.change, self.undo))
        self.own_name = Entry(look, "name of the own profile", 24)
        self.own_name.returnPressed.connect(self._keep)
        self.keep = Button(look, "Keep as own profile", ButtonWeight.NORMAL)
        self.keep.clicked.connect(lambda _checked=False: self._keep())
        self._keep_row = button_row(look, self.own_name, self.keep)
        self.body.addWidget(self._keep_row)
        self.bring_in = Button(look, "Bring in a list…", ButtonWeight.NORMAL)
        self.bring_in.clicked.connect(lambda _checked=False: acts.bring_in())
        self.export_notation = Choice(look, "addresses of an exported list")
        self.export_notation.activated.connect(acts.choose_export_notation)
        self.export = Button(look, "Export list…", ButtonWeight.NORMAL, "Ctrl+E")
        self.export.clicked.connect(lambda _checked=False: acts.export())
        self.body.addWidget(button_row(look, self.bring_in, self.export, self.export_notation))
        self._told = sentence(look)
        self.body.addWidget(self._told)

    def show_describe(self, state: DescribeState) -> None:
        """Show another point; what is being typed stays until the point, or its description, is another one."""
        before, self._shown = self._shown, state
        self.show_title(state.title or "Describe")
        self._refusal.show_text(state.refusal)
        self._refusal.setVisible(bool(state.refusal))
        has_point = not state.refusal
        for one in (self._form, self._keep_row, self.change):
            one.setVisible(has_point)
        if has_point and (before is None or _form_of(before) != _form_of(state)):
            self.kind.show_choices(state.types.words)
            self.kind.show_chosen(state.types.chosen)
            for entry, text in (
                (self.words, state.words),
                (self.scale, state.scale),
                (self.offset, state.offset),
                (self.unit, state.unit),
                (self.decimals, state.decimals),
                (self.own_name, state.own_name),
            ):
                entry.setText(text)
        self.export_notation.show_choices(state.export_notations.words)
        self.export_notation.show_chosen(state.export_notations.chosen)
        if state.undo:
            self.undo.allow()
        else:
            self.undo.refuse(NOTHING_TO_UNDO)
        self._told.show_text(state.told, state.tone)
        self._told.setVisible(bool(state.told))

    def _change(self) -> None:
        texts = (self.scale.text(), self.offset.text(), self.unit.text(), self.decimals.text())
        self._acts.change(PointForm(self.words.text(), self.kind.currentIndex(), *texts))

    def _keep(self) -> None:
        self._acts.keep(self.own_name.text())


def _form_of(state: DescribeState) -> tuple[object, ...]:
    return state.words, state.types, state.scale, state.offset, state.unit, state.decimals, state.own_name

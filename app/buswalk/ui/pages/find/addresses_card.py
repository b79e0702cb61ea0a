"""The card of the address picture: the picture, its legend with counts, a sentence for the focused address."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.known_band import TypedEntry
from buswalk.ui.pages.find.search_state import AddressesState, LegendEntry
from buswalk.ui.sizes import CAPTION_TEXT, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.address_picture import ADDRESSES, AddressPicture
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.labels import Text
from buswalk.ui.widgets.shape_widgets import AddressSign

FIRST_LINE = 4
GO_TO = "go to address"


class _Entry(QWidget):
    """A shape with its words."""

    def __init__(self, look: Look, entry: LegendEntry) -> None:
        super().__init__()
        row = QHBoxLayout(self)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(look.px(7))
        row.addWidget(AddressSign(look, entry.state, side=18))
        self._words = Text(look, look.regular(CAPTION_TEXT), entry.words)
        row.addWidget(self._words)
        self.setAccessibleName(entry.words)

    def show_words(self, words: str) -> None:
        """Show other words."""
        self._words.show_text(words)
        self.setAccessibleName(words)


class AddressesCard(QWidget):
    """Draws an AddressesState."""

    def __init__(self, look: Look, describe: Callable[[int], str]) -> None:
        super().__init__()
        self._look = look
        self._state: AddressesState | None = None
        self.setAccessibleName("addresses and legend")
        outer = QVBoxLayout(self)
        outer.setContentsMargins(0, 0, 0, 0)
        self.card = Card(look, "Addresses 1 – 247", "Ctrl+G: go to")
        outer.addWidget(self.card)
        self.entry = TypedEntry(look, GO_TO, 4)
        self.entry.setPlaceholderText("1 – 247")
        self.entry.setFixedWidth(look.px(88))
        self.entry.setFixedHeight(look.px(26))
        self.entry.taken.connect(self._gone)
        self.entry.hide()
        self.card.add_to_head(self.entry)
        self.picture = AddressPicture(look, describe)
        self.card.body.setSpacing(look.px(2))
        self.card.body.addWidget(self.picture)
        self._legend: list[_Entry] = []
        self._lines = (QHBoxLayout(), QHBoxLayout())
        for line in self._lines:
            line.setSpacing(look.px(15))
            self.card.body.addLayout(line)
        self._readout = Text(look, look.regular(TEXT), "", Tone.INK2)
        self._readout.setWordWrap(True)
        self._readout.setMinimumHeight(look.px(17))
        self.card.body.addWidget(self._readout)

    def show_addresses(self, state: AddressesState) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self.card.show_title(state.title)
        self.picture.show_picture(state.states, state.asked_now, state.focused)
        if not self._legend:
            self._make_legend(state.legend)
        for view, entry in zip(self._legend, state.legend, strict=True):
            view.show_words(entry.words)
            view.setVisible(entry.is_shown)
        self._readout.show_text(state.readout, Tone.INK2)

    def fit(self, width: int) -> None:
        """Make the picture as large as fits."""
        self.picture.fit(width - self._look.px(26))

    def begin_going(self) -> None:
        """Ask for an address."""
        self.card.show_aside("")
        self.entry.clear()
        self.entry.show()
        self.entry.setFocus()

    def _gone(self, text: str) -> None:
        self.entry.hide()
        self.card.show_aside("Ctrl+G: go to")
        self.picture.setFocus()
        if text.strip().isdigit() and int(text) < ADDRESSES:
            self.picture.go_to(int(text))

    def _make_legend(self, legend: tuple[LegendEntry, ...]) -> None:
        for at, entry in enumerate(legend):
            view = _Entry(self._look, entry)
            self._legend.append(view)
            self._lines[0 if at < FIRST_LINE else 1].addWidget(view)
        for line in self._lines:
            line.addStretch(1)

"""The band of what is known: five lists before a search, their words while it runs; beside it what it costs or took."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QRectF, Qt, Signal
from PySide6.QtGui import QColor, QKeyEvent, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.forecast_line import ForecastLine
from buswalk.ui.pages.find.search_state import ChoiceState, Figure, KnownState, SideState
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CAPTION_TEXT, KEY_VALUE_TEXT, RADIUS, RESULT_TEXT, SPACE_M, TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.card import paint_card
from buswalk.ui.widgets.entries import Choice, Entry
from buswalk.ui.widgets.labels import Text, caption, key_value

BAND_HEIGHT = 72
BAR_HEIGHT = 6
MOST_FIGURES = 3
COLUMNS = ("Speeds", "Framings", "Addresses", "This line is", "Search")


class TypedEntry(Entry):
    """An entry that Enter takes and Esc gives up, whatever Esc means elsewhere."""

    taken = Signal(str)

    def __init__(self, look: Look, name: str, columns: int = 0) -> None:
        super().__init__(look, name, columns)
        self.returnPressed.connect(lambda: self.taken.emit(self.text()))

    def event(self, event: QEvent) -> bool:
        """Keep Esc from the shell, for whom it stops the job."""
        is_offered = event.type() == QEvent.Type.ShortcutOverride
        if is_offered and isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape:
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc goes back."""
        if event.key() == Qt.Key.Key_Escape:
            self.taken.emit("")
        else:
            super().keyPressEvent(event)


class _KnownColumn(QWidget):
    """A caption over a list, or over its chosen words."""

    chosen = Signal(int)

    def __init__(self, look: Look, name: str) -> None:
        super().__init__()
        self.setAccessibleName(name.lower())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(2))
        column.addWidget(caption(look, name))
        self.choice = Choice(look, name)
        self.choice.activated.connect(self.chosen)
        self.words = key_value(look)
        self.words.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
        column.addWidget(self.choice)
        column.addWidget(self.words)
        column.addStretch(1)

    def show_choice(self, state: ChoiceState, *, is_fixed: bool) -> None:
        """Show the list or its words."""
        self.choice.show_choices(state.words)
        self.choice.show_chosen(state.index)
        self.words.show_text(state.chosen)
        self.choice.setVisible(not is_fixed)
        self.words.setVisible(is_fixed)


class KnownBand(QWidget):
    """Reports what the user chooses by the place of the list, 0 to 4, and the index in it."""

    chosen = Signal(int, int)
    typed = Signal(str)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__()
        self._look = look
        self._is_typing = False
        self.setAccessibleName("what is known")
        outer: QHBoxLayout | QVBoxLayout = QHBoxLayout(self) if narrow is Narrow.NO else QVBoxLayout(self)
        outer.setContentsMargins(look.px(SPACE_M), look.px(6), look.px(7), look.px(6))
        outer.setSpacing(look.px(SPACE_M))
        row = QHBoxLayout()
        row.setSpacing(look.px(SPACE_M))
        self._columns = tuple(_KnownColumn(look, name) for name in COLUMNS)
        for at, one in enumerate(self._columns):
            one.chosen.connect(lambda index, place=at: self.chosen.emit(place, index))
            row.addWidget(one)
        row.addStretch(1)
        outer.addLayout(row, 1)
        self.entry = TypedEntry(look, "Addresses, such as 11, 14, 21 to 24")
        self.entry.setPlaceholderText("11, 14, 21 to 24")
        self.entry.taken.connect(self.typed)
        layout = self._columns[2].layout()
        assert isinstance(layout, QVBoxLayout)
        layout.insertWidget(1, self.entry)
        self.entry.setMinimumWidth(look.px(150))
        self.entry.hide()
        self._side = _Side(look)
        outer.addWidget(self._side, 1)
        if narrow is Narrow.NO:
            self.setFixedHeight(look.px(BAND_HEIGHT))

    def show_known(self, state: KnownState, side: SideState) -> None:
        """Show what is known and what it costs."""
        for one, choice in zip(self._columns, state.choices, strict=True):
            one.show_choice(choice, is_fixed=state.is_fixed)
        self._show_typing(state)
        self._side.show_side(side)

    def _show_typing(self, state: KnownState) -> None:
        self.entry.setVisible(state.is_typing)
        if state.is_typing:
            self._columns[2].choice.hide()
        if state.is_typing and not self._is_typing:
            self.entry.setText(state.typed)
            self.entry.setFocus(Qt.FocusReason.OtherFocusReason)
        self._is_typing = state.is_typing

    @property
    def first_choice(self) -> Choice:
        """Where F6 stops."""
        return self._columns[0].choice


class _FigureView(QWidget):
    """A caption over a value; a result is 24 high."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(0)
        self._look = look
        self._caption = caption(look)
        self._value = Text(look, look.bold(KEY_VALUE_TEXT))
        column.addWidget(self._caption)
        column.addWidget(self._value)
        column.addStretch(1)

    def show_figure(self, figure: Figure) -> None:
        """Show it."""
        self._caption.show_text(figure.caption, Tone.INK2)
        self._value.setFont(self._look.bold(RESULT_TEXT if figure.is_result else KEY_VALUE_TEXT))
        self._value.show_text(figure.value)
        self.setAccessibleName(f"{figure.caption}: {figure.value}")


class _Side(QWidget):
    """A sunk box with figures, a note and a bar in ink."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self._look = look
        self._state: SideState | None = None
        self.setAccessibleName("cost")
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        row = QHBoxLayout(self)
        row.setContentsMargins(look.px(SPACE_M), look.px(2), look.px(SPACE_M), look.px(BAR_HEIGHT))
        row.setSpacing(look.px(18))
        self._figures = tuple(_FigureView(look) for _ in range(MOST_FIGURES))
        for one in self._figures:
            row.addWidget(one)
        self._note = Text(look, look.regular(TEXT if look.factor > 1 else CAPTION_TEXT), "", Tone.INK2)
        self._note.setWordWrap(True)
        self._note.setAlignment(Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft)
        row.addWidget(self._note, 1)
        self._rest = QWidget()
        self._rest.setAccessibleName("nothing more")
        row.addWidget(self._rest, 1)
        self.forecast = ForecastLine(look)
        row.addWidget(self.forecast, 1)

    def show_side(self, state: SideState) -> None:
        """Show it."""
        if state == self._state:
            return
        self._state = state
        self._hide_what_goes(state)
        for at, one in enumerate(self._figures):
            one.setVisible(at < len(state.figures))
            if at < len(state.figures):
                one.show_figure(state.figures[at])
        self._note.show_text(state.note, Tone.INK2)
        self._note.setVisible(bool(state.note))
        self._rest.setVisible(not state.note and state.forecast is None)
        self.forecast.setVisible(state.forecast is not None)
        if state.forecast is not None:
            self.forecast.show_forecast(state.forecast)
        share = "" if state.share_done is None else f", {state.share_done * 100:.0f} % done"
        figures = ", ".join(f"{one.caption} {one.value}" for one in state.figures) + share
        self.setAccessibleName(figures or "cost")
        self.setAccessibleDescription(state.note)
        self.update()

    def _hide_what_goes(self, state: SideState) -> None:
        """Hide first: a widget that is shown beside others that are about to go asks for room beside them."""
        if state.forecast is None:
            self.forecast.hide()
            return
        for one in (*self._figures, self._note, self._rest):
            one.hide()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw box and bar."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(QColor(colours.hair)))
        painter.setBrush(QColor(colours.sunk))
        box = QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5)
        painter.drawRoundedRect(box, RADIUS * look.factor, RADIUS * look.factor)
        if self._state is not None and self._state.share_done is not None:
            height = look.px(BAR_HEIGHT) - 1
            bar = QRectF(1, self.height() - 1 - height, self.width() - 2, height)
            painter.fillRect(bar, QColor(colours.hair))
            painter.fillRect(
                QRectF(bar.left(), bar.top(), bar.width() * self._state.share_done, height), QColor(colours.ink)
            )


def on_card(look: Look, content: QWidget) -> QWidget:
    """Return content on a card without a title."""
    return _OnCard(look, content)


class _OnCard(QWidget):
    def __init__(self, look: Look, content: QWidget) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName(content.accessibleName())
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(content)

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the card."""
        paint_card(self, self._look)

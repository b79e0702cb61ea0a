"""Draws a PingState: the result in large letters, the last minute, counts; beside it whom to ask, sound, what to do."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.find.known_band import TypedEntry
from buswalk.ui.pages.find.ping_history_view import PingHistoryView
from buswalk.ui.pages.find.ping_presenter import PingPresenter, Rate
from buswalk.ui.pages.find.ping_result import PingResult
from buswalk.ui.pages.find.ping_state import AskState, CountsState, PingState, SoundState
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import CARD_GAP, ROW_OUTCOME, TEXT
from buswalk.ui.tones import Tone, tone_of
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, Tick
from buswalk.ui.widgets.labels import Text, caption, sentence
from buswalk.ui.widgets.segment import Segment
from buswalk.ui.widgets.shape_widgets import OutcomeSign
from buswalk.ui.widgets.table import Cell, Column, Table

SIDE_WIDTH = 340
COUNT_ROWS = 4
_COUNTS = (Column("Outcome", 200), Column("Count", 130, is_right=True), Column("Share, limit", 0))


class _AskCard(Card):
    """Whom to ask, in which setting, how often."""

    def __init__(self, look: Look, presenter: PingPresenter) -> None:
        super().__init__(look, "Ask")
        self.devices = Choice(look, "Device")
        self.devices.setSizeAdjustPolicy(Choice.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
        self.devices.activated.connect(presenter.choose_device)
        self.typed = TypedEntry(look, "another address", 5)
        self.typed.setPlaceholderText("other")
        self.typed.taken.connect(self._take)
        self.settings = Choice(look, "Setting")
        self.settings.activated.connect(presenter.choose_settings)
        self.rates = Segment(look, "Times a second", tuple(one.words for one in Rate), 32)
        self.rates.chosen.connect(presenter.choose_rate)
        self._presenter = presenter
        self._wait = caption(look)
        names = QHBoxLayout()
        names.setSpacing(look.px(8))
        names.addWidget(self.devices, 1)
        names.addWidget(self.typed)
        grid = QGridLayout()
        grid.setHorizontalSpacing(look.px(10))
        grid.setVerticalSpacing(look.px(2))
        grid.setColumnStretch(0, 1)
        grid.addWidget(caption(look, "Setting"), 0, 0)
        grid.addWidget(self.settings, 1, 0)
        grid.addWidget(caption(look, "Times a second"), 0, 1)
        grid.addWidget(self.rates, 1, 1)
        self.body.addWidget(caption(look, "Device, or another address"))
        self.body.addLayout(names)
        self.body.addLayout(grid)
        self.body.addWidget(self._wait)

    def show_ask(self, state: AskState) -> None:
        """Show it."""
        self.devices.show_choices(state.devices.words)
        self.devices.show_chosen(state.devices.index)
        self.settings.show_choices(state.settings.words)
        self.settings.show_chosen(state.settings.index)
        self.rates.show_chosen(state.rates.index)
        self._wait.show_text(state.wait, Tone.INK2)
        if not state.typed and not self.typed.hasFocus():
            self.typed.clear()

    def _take(self, text: str) -> None:
        if text.strip():
            self._presenter.type_address(text)
        else:
            self.typed.clear()


class _SoundCard(Card):
    """Whether each exchange is heard, and what the tones mean."""

    def __init__(self, look: Look, presenter: PingPresenter, state: SoundState) -> None:
        super().__init__(look, "Sound", "off unless you tick it")
        self.tick = Tick(look, "Tone for each exchange")
        self.tick.toggled.connect(lambda is_wanted: presenter.want_sound(is_wanted=is_wanted))
        self.body.addWidget(self.tick)
        for line in state.lines:
            row = QHBoxLayout()
            row.setSpacing(look.px(6))
            row.addWidget(OutcomeSign(look, line.kind))
            row.addWidget(Text(look, look.regular(TEXT), line.words), 1)
            self.body.addLayout(row)
        self._note = sentence(look)
        self.body.addWidget(self._note)

    def show_sound(self, state: SoundState) -> None:
        """Show it."""
        if self.tick.isChecked() != state.is_wanted:
            self.tick.setChecked(state.is_wanted)
        self._note.show_text(state.note, Tone.INK2)


class _CountsCard(Card):
    """Counts with their shares and limits, and what they say."""

    def __init__(self, look: Look) -> None:
        super().__init__(look, "Counts")
        self._look = look
        self.let_body_reach_edges()
        self.table = Table(look, "counts", _COUNTS, ROW_OUTCOME)
        self.table.horizontalHeader().hide()
        self.body.addWidget(self.table)
        self._sentences = sentence(look)
        self._sentences.setContentsMargins(look.px(11), look.px(4), look.px(11), look.px(8))
        self.body.addWidget(self._sentences)

    def show_counts(self, state: CountsState) -> None:
        """Show them."""
        self.show_title(state.title)
        self.show_aside(state.aside)
        self.table.show_rows(
            [
                (Cell(row.kind.word, tone_of(row.kind), shape=row.kind), Cell(row.count), Cell(row.share))
                for row in state.rows
            ]
        )
        self.table.setVisible(bool(state.rows))
        self.table.setFixedHeight(self._look.px(ROW_OUTCOME * max(1, min(COUNT_ROWS, len(state.rows))) + 2))
        self._sentences.show_text("\n".join(state.sentences), Tone.INK)
        self._sentences.setVisible(bool(state.sentences))


class PingView(QWidget):
    """One device asked again and again."""

    def __init__(self, look: Look, narrow: Narrow, presenter: PingPresenter) -> None:
        super().__init__()
        self._presenter = presenter
        self._shown: PingState | None = None
        self.setAccessibleName("Ping")
        self.result = PingResult(look)
        self._history_card = Card(look, "The last 60 s")
        self._history = PingHistoryView(look)
        self._history_card.body.addWidget(self._history)
        self._counts = _CountsCard(look)
        self._ask = _AskCard(look, presenter)
        self._sound = _SoundCard(look, presenter, presenter.state.sound)
        self._steps = Card(look, presenter.state.steps_title)
        for headline, words in presenter.state.steps:
            self._steps.body.addWidget(Text(look, look.bold(TEXT), headline))
            self._steps.body.addWidget(sentence(look, words))
            self._steps.body.addSpacing(look.px(6))
        self._steps.body.addStretch(1)
        self._beside = sentence(look)
        both: QHBoxLayout | QVBoxLayout = QHBoxLayout(self) if narrow is Narrow.NO else QVBoxLayout(self)
        both.setContentsMargins(0, 0, 0, 0)
        both.setSpacing(look.px(CARD_GAP + 2))
        left, right = QVBoxLayout(), QVBoxLayout()
        for column, parts in (
            (left, (self.result, self._history_card, self._counts)),
            (right, (self._ask, self._sound, self._steps)),
        ):
            column.setSpacing(look.px(CARD_GAP))
            for part in parts:
                column.addWidget(part)
        if narrow is Narrow.NO:
            left.addStretch(1)
            right.setStretch(2, 1)
            side = QWidget()
            side.setAccessibleName("whom to ask")
            side.setFixedWidth(look.px(SIDE_WIDTH))
            right.setContentsMargins(0, 0, 0, 0)
            side.setLayout(right)
            self._ask.body.addWidget(self._beside)
            right.addStretch(0)
            both.addLayout(left, 1)
            both.addWidget(side)
        else:
            both.addWidget(self._beside)  # F5 asks at once, and the card lies below what is in sight
            both.addLayout(left)
            both.addLayout(right)

    def refresh(self) -> None:
        """Show the presenter's state."""
        state = self._presenter.state
        if state is self._shown:
            return
        self._shown = state
        self.result.show_result(state.result)
        self._history_card.show_aside(state.history.counts, Tone.INK)
        self._history.show_history(state.history)
        self._counts.show_counts(state.counts)
        self._ask.show_ask(state.ask)
        self._beside.show_text(f"▲  {state.ask.beside}", Tone.DOUBT)
        self._beside.setVisible(bool(state.ask.beside))
        self._steps.setVisible(not state.ask.beside)  # what to do meanwhile gives way to what to know before
        self._sound.show_sound(state.sound)

    def panes(self) -> Sequence[QWidget]:
        """Where F6 stops."""
        return (self._ask.devices, self._sound.tick)

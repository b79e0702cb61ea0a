"""The cards at the right of the page Line: adapter, another client, hands, time of a demo line."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QHBoxLayout, QSizePolicy, QVBoxLayout, QWidget

from buswalk.bus.messages import Hand
from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.line.adapter_words import SWITCH_CHOICES, AdapterState, AdapterSwitches, Told
from buswalk.ui.pages.line.demo_record import DemoRecordState
from buswalk.ui.pages.line.hands import FACTOR_WORDS, HandsState
from buswalk.ui.pages.line.heard_words import HeardState
from buswalk.ui.sizes import TEXT
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice
from buswalk.ui.widgets.labels import Text, caption, key_value, sentence
from buswalk.ui.widgets.segment import Segment
from buswalk.ui.widgets.shape_widgets import OutcomeSign

COLUMNS = 2


class ToldView(QWidget):
    """A caption over a value, with a note that may break into lines."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(1))
        self._caption, self._value = caption(look), key_value(look).wrapped()
        self._note = sentence(look)
        for one in (self._caption, self._value, self._note):
            column.addWidget(one)
        column.addStretch(1)

    def show_told(self, told: Told) -> None:
        """Show a fact."""
        self._caption.show_text(told.caption, Tone.INK2)
        self._value.show_text(told.value, told.tone)
        self._note.show_text(told.note, Tone.INK2)
        self.setAccessibleName(told.caption)
        self.setAccessibleDescription(f"{told.value}, {told.note}")


class AdapterCard(Card):
    """What the adapter can tell; the echo test; its switches as the user has seen them."""

    noted = Signal(object)

    def __init__(self, look: Look, test: Callable[[], None]) -> None:
        super().__init__(look, "Adapter")
        self._look = look
        self._grid = QGridLayout()
        self._grid.setHorizontalSpacing(look.px(12))
        self._grid.setVerticalSpacing(look.px(4))
        self._views: list[ToldView] = []
        self.body.addLayout(self._grid)
        self._switches = AdapterSwitches()
        words = [one.value for one in SWITCH_CHOICES]
        self._bias = Segment(look, "bias switch of the adapter", words, 26)
        self._terminator = Segment(look, "terminator switch of the adapter", words, 26)
        for name, segment in (("Bias switch", self._bias), ("Terminator switch", self._terminator)):
            row = QHBoxLayout()
            row.addWidget(caption(look, name))
            row.addStretch(1)
            row.addWidget(segment)
            self.body.addLayout(row)
            segment.chosen.connect(self._note)
        self.test = Button(look, "Test the echo", ButtonWeight.SMALL)
        self.test.clicked.connect(lambda _checked=False: test())
        self.body.addSpacing(look.px(2))
        self.body.addWidget(self.test)
        self.body.addStretch(1)

    def show_adapter(self, state: AdapterState) -> None:
        """Show what is known."""
        self.show_aside(state.aside)
        for i, told in enumerate(state.told):
            if i == len(self._views):
                self._views.append(ToldView(self._look))
                self._grid.addWidget(self._views[i], i // COLUMNS, i % COLUMNS)
            self._views[i].show_told(told)
        for i, view in enumerate(self._views):
            view.setVisible(i < len(state.told))
        for i in range(COLUMNS):
            self._grid.setColumnStretch(i, 1)
        self._switches = state.switches
        self._bias.show_chosen(SWITCH_CHOICES.index(state.switches.bias))
        self._terminator.show_chosen(SWITCH_CHOICES.index(state.switches.terminator))
        self.test.show_words(state.test_words)
        show_allowed(self.test, state.test_refused)

    def _note(self, _index: int) -> None:
        self.noted.emit(AdapterSwitches(SWITCH_CHOICES[self._bias.index], SWITCH_CHOICES[self._terminator.index]))


class HeardCard(Card):
    """What listening has shown."""

    def __init__(self, look: Look, listen: Callable[[], None]) -> None:
        super().__init__(look, "Another client?")
        row = QHBoxLayout()
        row.setSpacing(look.px(6))
        self._sign = OutcomeSign(look, OutcomeKind.FOREIGN_FRAME)
        self._headline = key_value(look).wrapped()
        row.addWidget(self._sign)
        row.addWidget(self._headline, 1)
        self._words = sentence(look)
        self.listen = Button(look, "Listen", ButtonWeight.SMALL)
        self.listen.clicked.connect(lambda _checked=False: listen())
        self.body.addLayout(row)
        self.body.addWidget(self._words)
        self.body.addSpacing(look.px(2))
        self.body.addWidget(self.listen)
        self.body.addStretch(1)

    def show_heard(self, state: HeardState) -> None:
        """Show a verdict."""
        self.show_aside(state.aside)
        self._sign.setVisible(state.shape is not None)
        if state.shape is not None:
            self._sign.show_kind(state.shape)
        self._headline.show_text(state.headline, state.tone)
        self._words.show_text(state.words, Tone.INK2)
        self.setAccessibleDescription(f"{state.headline}. {state.words}")
        self.listen.show_words(state.listen_words)
        show_allowed(self.listen, state.listen_refused)


class HandsCard(Card):
    """What one would do on site with one's own hands."""

    chosen = Signal(int)
    used = Signal(object)
    fan_pressed = Signal()
    battery_pressed = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__(look, "Hands", "demo lines only")
        self.body.addWidget(caption(look, "What you would do on site with your own hands. At"))
        self.place = Choice(look, "place at which hands act")
        self.place.activated.connect(self.chosen.emit)
        policy = self.place.sizePolicy()
        policy.setHorizontalPolicy(QSizePolicy.Policy.Expanding)
        self.place.setSizePolicy(policy)
        self.body.addWidget(self.place)
        grid = QGridLayout()
        grid.setSpacing(look.px(8))
        grid.setContentsMargins(0, look.px(4), 0, look.px(4))
        self._buttons: list[Button] = []
        acts = (
            ("Unplug", Hand.UNPLUG),
            ("Plug in", Hand.PLUG_IN),
            ("Swap pair", Hand.SWAP_PAIR),
            ("Power-cycle", Hand.POWER_CYCLE),
            ("Open behind", Hand.OPEN_CABLE),
            ("Join behind", Hand.JOIN_CABLE),
        )
        for i, (words, hand) in enumerate(acts):
            button = _wide_button(look, words)
            button.clicked.connect(lambda _checked=False, act=hand: self.used.emit(act))
            self._buttons.append(button)
            grid.addWidget(button, i // 3, i % 3)
        self.fan = _wide_button(look, "Fan on")
        self.fan.clicked.connect(lambda _checked=False: self.fan_pressed.emit())
        self.battery = _wide_button(look, "On battery")
        self.battery.clicked.connect(lambda _checked=False: self.battery_pressed.emit())
        grid.addWidget(self.fan, 2, 0)
        grid.addWidget(self.battery, 2, 1)
        self.body.addLayout(grid)
        words = "Fan and battery act on plant and laptop, not on one place. Each act is marked in the record."
        self.body.addWidget(Text(look, look.regular(12), words, Tone.INK2).wrapped())
        self.body.addWidget(caption(look, "Done so far"))
        self._done = Text(look, look.bold(TEXT)).wrapped()
        self.body.addWidget(self._done)
        self.body.addStretch(1)

    def show_hands(self, state: HandsState) -> None:
        """Show what can be done and what was."""
        self.place.show_choices(state.places)
        self.place.show_chosen(state.chosen)
        self.fan.show_words(state.fan_words)
        self.battery.show_words(state.battery_words)
        self._done.show_text(state.done)

    def first_button(self) -> Button:
        """Return the first act."""
        return self._buttons[0]


class TimeCard(Card):
    """How fast the time of a simulated line passes, and whether its record is kept."""

    chosen = Signal(int)
    keep_pressed = Signal()

    def __init__(self, look: Look) -> None:
        super().__init__(look, "Time and record of a demo line")
        self._words = sentence(look)
        self.body.addWidget(self._words)
        row = QHBoxLayout()
        row.addWidget(caption(look, "Speed"))
        self.speed = Segment(look, "how fast line time passes", FACTOR_WORDS)
        self.speed.chosen.connect(self.chosen.emit)
        row.addWidget(self.speed)
        row.addStretch(1)
        self.body.addLayout(row)
        kept = QHBoxLayout()
        self._record_words = sentence(look)
        self.keep = Button(look, "Keep this record", ButtonWeight.SMALL)
        self.keep.clicked.connect(lambda _checked=False: self.keep_pressed.emit())
        kept.addWidget(self._record_words, 1)
        kept.addWidget(self.keep)
        self.body.addLayout(kept)
        self.body.addStretch(1)

    def show_record(self, state: DemoRecordState) -> None:
        """Show whether the record is kept."""
        self._record_words.show_text(state.words, Tone.INK2)
        show_allowed(self.keep, state.refused)

    def show_time(self, state: HandsState) -> None:
        """Show a factor."""
        self._words.show_text(state.time_words, Tone.INK2)
        self.speed.show_chosen(state.factor_index)


def show_allowed(button: Button, refused: str) -> None:
    """Let a button be pressed, or say why it cannot be."""
    if refused and (button.isEnabled() or button.toolTip() != refused):
        button.refuse(refused)
    elif not refused and not button.isEnabled():
        button.allow()


def _wide_button(look: Look, words: str) -> Button:
    button = Button(look, words, ButtonWeight.SMALL)
    policy = button.sizePolicy()
    policy.setHorizontalPolicy(QSizePolicy.Policy.Expanding)
    button.setSizePolicy(policy)
    return button

"""The card at the right: figures of the focused device, marks, or the watch; a segment chooses which."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFormLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.faults.faults_state import (
    FaultsState,
    FigureLine,
    FilterChoice,
    MarksState,
    SideFace,
    WatchState,
)
from buswalk.ui.pages.page import Narrow
from buswalk.ui.sizes import ROW_LOW, SPACE_S, TABLE_HEAD
from buswalk.ui.table_cells import Column
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight, button_row
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import Choice, ColumnArea, Entry
from buswalk.ui.widgets.labels import Text, caption, heading, sentence
from buswalk.ui.widgets.segment import Segment
from buswalk.ui.widgets.table import Table

MARK_COLUMNS = (Column("From", 74), Column("Mark", 0, may_be_cut=True), Column("In | out", 112, is_right=True))
MARK_ROWS = 4


class Lines(QWidget):
    """Captions over sentences; as many as there are."""

    def __init__(self, look: Look, name: str) -> None:
        super().__init__()
        self._look = look
        self._made: list[tuple[Text, Text]] = []
        self.setAccessibleName(name)
        self._column = QVBoxLayout(self)
        self._column.setContentsMargins(0, 0, 0, 0)
        self._column.setSpacing(0)

    def show_lines(self, lines: tuple[FigureLine, ...]) -> None:
        """Show these."""
        while len(self._made) < len(lines):
            both = caption(self._look), sentence(self._look)
            both[1].setContentsMargins(0, 0, 0, self._look.px(4))
            for one in both:
                self._column.addWidget(one)
            self._made.append(both)
        for at, (head, words) in enumerate(self._made):
            is_used = at < len(lines)
            head.setVisible(is_used)
            words.setVisible(is_used)
            if is_used:
                head.show_text(lines[at].caption)
                words.show_text(lines[at].words, lines[at].tone)


def _leave_room_for_the_ring(column: QVBoxLayout, look: Look) -> None:
    """A pane that scrolls cuts what reaches over its edge."""
    column.setContentsMargins(look.px(6), look.px(6), look.px(6), look.px(6))


class FiguresPane(QWidget):
    """What the exchanges with one device show."""

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setAccessibleName("figures of a device")
        column = QVBoxLayout(self)
        _leave_room_for_the_ring(column, look)
        column.setSpacing(look.px(4))
        self._title = heading(look)
        self._title.setWordWrap(True)
        self._lines = Lines(look, "figures")
        column.addWidget(self._title)
        column.addWidget(self._lines)
        column.addStretch(1)

    def show_state(self, state: FaultsState) -> None:
        """Show them."""
        self._title.show_text(state.figures.title)
        self._lines.show_lines(state.figures.lines)


class MarksPane(QWidget):
    """The list of marks, the chosen one, and its form."""

    kept = Signal(str, str, str)
    ended = Signal()
    taken_back = Signal()
    new_wanted = Signal()
    chosen = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setAccessibleName("marks of the record")
        self._look = look
        self._shown = MarksState()
        self._wants_words = False
        column = QVBoxLayout(self)
        _leave_room_for_the_ring(column, look)
        column.setSpacing(look.px(6))
        self.table = Table(look, "marks", MARK_COLUMNS, ROW_LOW)
        self.table.setFixedHeight(look.px(TABLE_HEAD + MARK_ROWS * ROW_LOW + 2))
        self.table.row_chosen.connect(self.chosen.emit)
        self._said = sentence(look)
        self._contrast = Lines(look, "inside and outside of the chosen mark")
        self.words, self.start, self.end = Entry(look, "words"), Entry(look, "from", 8), Entry(look, "to", 8)
        self._form = QWidget()
        form = QFormLayout(self._form)
        form.setContentsMargins(0, 0, 0, 0)
        form.setSpacing(look.px(4))
        for words, entry in (("Words", self.words), ("From", self.start), ("To", self.end)):
            form.addRow(caption(look, words), entry)
            entry.returnPressed.connect(self._keep)
        self.end.setPlaceholderText("open")
        self.keep = Button(look, "Keep", ButtonWeight.SMALL, "Enter")
        self.end_now = Button(look, "Ends now", ButtonWeight.SMALL)
        self.back = Button(look, "Take back", ButtonWeight.SMALL)
        self.new = Button(look, "New mark back in time…", ButtonWeight.SMALL)
        self._acts = button_row(look, self.keep, self.end_now)
        self._more = button_row(look, self.back)
        pairs: tuple[tuple[Button, Callable[[], None]], ...] = (
            (self.keep, self._keep),
            (self.end_now, self.ended.emit),
            (self.back, self.taken_back.emit),
            (self.new, self._begin_new),
        )
        for button, act in pairs:
            button.clicked.connect(lambda _checked=False, does=act: does())
        for one in (self.table, self._said, self._contrast, self._form, self._acts, self._more, self.new):
            column.addWidget(one)
        column.addStretch(1)

    def show_marks(self, state: MarksState) -> None:
        """Show them; what is being typed stays."""
        self.table.show_rows(state.rows)
        if state.chosen >= 0:
            self.table.choose_row(state.chosen)
        self._contrast.show_lines(state.contrast)
        said = state.told or state.refusal or ("" if state.rows else "No marks yet. Ctrl+M sets one at this moment.")
        self._said.show_text(said, Tone.INK2)
        self._said.setVisible(bool(said))
        self._form.setVisible(state.form is not None)
        self._acts.setVisible(state.form is not None)
        self._more.setVisible(state.chosen >= 0)
        self.end_now.setVisible(state.chosen >= 0)
        if state.form is not None and state.form != self._shown.form:
            for entry, words in zip(
                (self.words, self.start, self.end), (state.form.words, state.form.start, state.form.end), strict=True
            ):
                if not entry.hasFocus() or self._shown.chosen != state.chosen:
                    entry.setText(words)
        for button in (self.keep, self.end_now, self.back, self.new):
            if state.refusal:
                button.refuse(state.refusal)
            else:
                button.allow()
        self._shown = state

        if self._wants_words and state.form is not None:
            self._wants_words = False
            self.words.setFocus()

    def _begin_new(self) -> None:
        self._wants_words = True
        self.new_wanted.emit()

    def _keep(self) -> None:
        self.kept.emit(self.words.text(), self.start.text(), self.end.text())


class WatchPane(QWidget):
    """Whom a watch asks, and how often."""

    period_chosen = Signal(int)
    share_chosen = Signal(int)
    wait_chosen = Signal(int)

    def __init__(self, look: Look) -> None:
        super().__init__()
        self.setAccessibleName("the watch")
        column = QVBoxLayout(self)
        _leave_room_for_the_ring(column, look)
        column.setSpacing(look.px(4))
        self._devices = sentence(look, "", Tone.INK)
        self.period, self.share = Choice(look, "period"), Choice(look, "share of the line")
        self.wait = Choice(look, "wait for a reply")
        self.wait.activated.connect(self.wait_chosen.emit)
        self.period.activated.connect(self.period_chosen.emit)
        self.share.activated.connect(self.share_chosen.emit)
        self._period_words, self._share_words, self._wait_words = (caption(look) for _ in range(3))
        self._lines = Lines(look, "what that means")
        for one in (
            self._devices,
            self._period_words,
            self.period,
            self._share_words,
            self.share,
            self._wait_words,
            self.wait,
            self._lines,
        ):
            column.addWidget(one)
        column.addStretch(1)

    def show_watch(self, state: WatchState) -> None:
        """Show the form."""
        self._devices.show_text(f"Asks {state.devices}")
        for widget, words, one in (
            (self.period, self._period_words, state.periods),
            (self.share, self._share_words, state.shares),
            (self.wait, self._wait_words, state.waits),
        ):
            _show_choice(widget, words, one)
        self._lines.show_lines(state.lines)


def _show_choice(widget: Choice, words: Text, choice: FilterChoice) -> None:
    words.show_text(choice.name)
    if not widget.view().isVisible():
        widget.show_choices(choice.words)
        widget.show_chosen(choice.chosen)


class SideCard(Card):
    """One of three panes."""

    face_chosen = Signal(int)

    def __init__(self, look: Look, narrow: Narrow) -> None:
        super().__init__(look, "")
        self.setAccessibleName("figures, marks and watch")
        self.segment = Segment(look, "what stands here", [one.value for one in SideFace], 28)
        self.segment.chosen.connect(self.face_chosen.emit)
        self.figures, self.marks, self.watch = FiguresPane(look), MarksPane(look), WatchPane(look)
        self._faces = QStackedWidget()
        self._faces.setAccessibleName("figures, marks or watch")
        self._narrow = narrow
        panes: tuple[tuple[str, QWidget], ...] = (
            ("figures", self.figures),
            ("marks", self.marks),
            ("watch", self.watch),
        )
        for name, pane in panes:
            self._faces.addWidget(pane if narrow is Narrow.YES else ColumnArea(name, pane))
        self.body.setSpacing(look.px(SPACE_S))
        self.body.addWidget(self.segment)
        self.body.addWidget(self._faces, 1)

    def show_state(self, state: FaultsState) -> None:
        """Show the chosen pane."""
        index = list(SideFace).index(state.side)
        self.segment.show_chosen(index)
        self._faces.setCurrentIndex(index)
        match state.side:
            case SideFace.FIGURES:
                self.figures.show_state(state)
            case SideFace.MARKS:
                self.marks.show_marks(state.marks)
            case SideFace.WATCH:
                self.watch.show_watch(state.watch)

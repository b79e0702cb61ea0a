"""Draws the page Switches: facts of the board, the block, the address three ways; beside it the mistakes, ranked."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QHBoxLayout, QStackedWidget, QVBoxLayout, QWidget

from buswalk.domain.switches.picture import BodyTone
from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.switches.compare_card import CompareCard
from buswalk.ui.pages.switches.describe_card import DescribeCard
from buswalk.ui.pages.switches.facts_bar import FactsBar
from buswalk.ui.pages.switches.presenter import SwitchesPresenter
from buswalk.ui.pages.switches.sheet_face import SheetFace
from buswalk.ui.pages.switches.switch_block import SwitchBlock
from buswalk.ui.pages.switches.switches_state import BlockState, SwitchesState
from buswalk.ui.sizes import CARD_GAP, ENTRY_TEXT, KEY_VALUE_TEXT, SPACE_M, SPACE_S
from buswalk.ui.tones import Tone
from buswalk.ui.widgets.button import Button, ButtonWeight
from buswalk.ui.widgets.card import Card
from buswalk.ui.widgets.entries import AddressEntry, Choice, ColumnArea, Entry
from buswalk.ui.widgets.labels import Text, caption, sentence
from buswalk.ui.widgets.page_top import PageTop
from buswalk.ui.widgets.segment import Segment

SIDE_WIDTH = 446
PATTERN_COLUMNS = 12


class SwitchesView(QWidget):
    """Shows a SwitchesState."""

    def __init__(self, look: Look, narrow: Narrow, presenter: SwitchesPresenter) -> None:
        super().__init__()
        self._look = look
        self._presenter = presenter
        self._shown: SwitchesState | None = None
        self.setAccessibleName("Switches")
        self.device = Button(look, "To the device", ButtonWeight.NORMAL, "F7")
        self.plan = Button(look, "Show labels", ButtonWeight.NORMAL, "Ctrl+L")
        self.label = Button(look, "Print label", ButtonWeight.NORMAL, "Ctrl+P")
        self._top = PageTop(look, narrow, "Switches", (self.device, self.plan, self.label))
        self._left = self._board_card()
        self.compare, self.describe = CompareCard(look, narrow), DescribeCard(look, narrow)
        self.describe.hide()
        self._connect()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_S))
        column.addWidget(self._top)
        self.sheet = SheetFace(look, narrow)
        self._connect_sheet()
        self._faces = QStackedWidget()
        self._faces.setAccessibleName("switches, or the sheet of labels")
        self._faces.addWidget(self._face(narrow))
        self._faces.addWidget(self.sheet)
        column.addWidget(self._faces, 1)

    def _face(self, narrow: Narrow) -> QWidget:
        face = QWidget()
        if narrow is Narrow.YES:
            column = QVBoxLayout(face)
            column.setContentsMargins(0, 0, 0, 0)
            column.setSpacing(self._look.px(CARD_GAP))
            column.addWidget(self._left)
            column.addWidget(self.compare)
            column.addWidget(self.describe)
            return ColumnArea("switches and what explains another address", face)
        row = QHBoxLayout(face)
        row.setContentsMargins(0, 0, 0, 0)
        row.setSpacing(self._look.px(CARD_GAP))
        row.addWidget(self._left, 1)
        for card in (self.compare, self.describe):
            card.setFixedWidth(self._look.px(SIDE_WIDTH))
            row.addWidget(card)
        return face

    def _board_card(self) -> Card:
        look = self._look
        card = Card(look, "")
        card.setAccessibleName("board and switches")
        state = self._presenter.state
        self.kinds = Segment(look, "what the board has", [one.value for one in state.kinds])
        self._keys = caption(look)
        self._keys.setAlignment(Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter)
        card.body.addLayout(_row(look, self.kinds, None, self._keys))
        self.board = Choice(look, "board")
        self.turn = Button(look, "Turn", ButtonWeight.SMALL)
        self.tones = Choice(look, "how levers are drawn", [one.value for one in BodyTone])
        card.body.addLayout(
            _row(look, _under(look, "Board", self.board), _under(look, "Drawn", self.tones), self.turn, None)
        )
        self.facts = FactsBar(look)
        self.edit = Button(look, "Describe a board", ButtonWeight.SMALL, "F2")
        card.body.addLayout(_row(look, self.facts, None, self.edit))
        self.block = SwitchBlock(look)
        card.body.addWidget(self.block, 1)
        self._sum = Text(look, look.bold(KEY_VALUE_TEXT))
        self._sum.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._sum.setWordWrap(True)
        self._said, self._trouble = sentence(look), sentence(look)
        self.nearest = tuple(Button(look, "", ButtonWeight.SMALL) for _ in range(2))
        for one in (self._sum, self._said):
            card.body.addWidget(one)
        card.body.addLayout(_row(look, self._trouble, *self.nearest, stretched=self._trouble))
        card.body.addLayout(self._entries())
        self._told = caption(look)
        card.body.addWidget(self._told)
        return card

    def _entries(self) -> QHBoxLayout:
        look = self._look
        self.decimal = AddressEntry(look, "address, decimal")
        self.hexadecimal, self.binary = AddressEntry(look, "hexadecimal"), AddressEntry(look, "binary")
        self.hexadecimal.setFixedWidth(look.px(86))
        self.binary.setFixedWidth(look.px(132))
        self.pattern = Entry(look, "pattern, first printed number first", PATTERN_COLUMNS)
        self.here = Button(look, "It is set so now", ButtonWeight.SMALL)
        self._on_caption = caption(look)
        self._on = Text(look, look.bold(ENTRY_TEXT))
        self._on.setWordWrap(True)
        on = QVBoxLayout()
        on.setSpacing(look.px(2))
        on.addWidget(self._on_caption)
        on.addWidget(self._on, 1)
        row = QHBoxLayout()
        row.setSpacing(look.px(SPACE_M))
        for words, entry in (
            ("Address, decimal", self.decimal),
            ("Hexadecimal", self.hexadecimal),
            ("Binary", self.binary),
            ("Or type it", self.pattern),
        ):
            row.addLayout(_under(look, words, entry))
        row.addLayout(on, 1)
        row.addWidget(self.here, 0, Qt.AlignmentFlag.AlignBottom)
        return row

    def _connect(self) -> None:
        presenter = self._presenter
        self.device.clicked.connect(lambda _checked=False: presenter.to_device())
        self.label.clicked.connect(lambda _checked=False: self._act(presenter.print_label))
        self.plan.clicked.connect(lambda _checked=False: self._show_sheet())
        self.kinds.chosen.connect(lambda at: self._act(lambda: presenter.choose_kind(presenter.state.kinds[at])))
        self.board.activated.connect(
            lambda at: self._act(lambda: presenter.choose_board(presenter.state.boards[at].name))
        )
        self.turn.clicked.connect(lambda _checked=False: self._act(presenter.turn))
        self.tones.activated.connect(lambda at: self._act(lambda: presenter.choose_tone(list(BodyTone)[at])))
        self.facts.changed.connect(lambda at, value: self._act(lambda: presenter.change_fact_at(at, value)))
        self.block.position_wanted.connect(lambda i, at: self._act(lambda: presenter.setting.set_position(i, at)))
        self.block.step_wanted.connect(lambda i, steps: self._act(lambda: presenter.setting.step(i, steps)))
        self.block.label_flipped.connect(lambda label: self._act(lambda: presenter.setting.flip_numbered(label)))
        self.here.clicked.connect(lambda _checked=False: self._act(presenter.setting.here_is_set))
        for at, button in enumerate(self.nearest):
            button.clicked.connect(lambda _checked=False, at=at: self._act(lambda: self._take_nearest(at)))
        for entry, take in (
            (self.decimal, presenter.setting.type_address),
            (self.hexadecimal, presenter.setting.type_hexadecimal),
            (self.binary, presenter.setting.type_binary),
            (self.pattern, presenter.setting.type_pattern),
            (self.compare.intended, presenter.edit_intended),
            (self.compare.found, presenter.edit_found),
            (self.compare.previous, presenter.edit_previous),
        ):
            entry.textEdited.connect(lambda text, take=take: self._act(lambda: take(text)))
        self.compare.mistake_chosen.connect(lambda at: self._act(lambda: presenter.choose_mistake(at)))
        self._connect_description()
        self.compare.instead.ask.clicked.connect(lambda _checked=False: presenter.main_action())
        for keys, act in (
            ("Ctrl+P", lambda: self._act(presenter.print_shown)),
            ("F7", lambda: self._act(presenter.to_device)),
            ("F2", self._describe),
            ("Ctrl+L", self._show_sheet),
        ):
            shortcut = QShortcut(QKeySequence(keys), self)
            shortcut.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
            shortcut.activated.connect(act)

    def _connect_description(self) -> None:
        card, describing = self.describe, self._presenter.describing
        self.edit.clicked.connect(lambda _checked=False: self._describe())
        card.close_button.clicked.connect(lambda _checked=False: self._close_description())
        card.keep.clicked.connect(lambda _checked=False: self._keep())
        card.undo.clicked.connect(lambda _checked=False: self._act(describing.undo))
        card.fact_chosen.connect(lambda at, value: self._act(lambda: describing.choose_fact(at, value)))
        card.use_chosen.connect(lambda at, value: self._act(lambda: describing.choose_use(at, value)))
        card.list_written.connect(lambda at, text: self._act(lambda: describing.write_list(at, text)))
        for entry, write in (
            (card.adds, describing.change_adds),
            (card.base, describing.change_base),
            (card.name, describing.write_name),
        ):
            entry.textEdited.connect(lambda text, write=write: self._act(lambda: write(text)))

    def _connect_sheet(self) -> None:
        presenter, sheet = self._presenter, self.sheet
        sheet.print.clicked.connect(lambda _checked=False: self._act(presenter.print_shown))
        sheet.close_button.clicked.connect(lambda _checked=False: self._close_sheet())
        sheet.stepped.connect(lambda step: self._act(lambda: presenter.sheet.step(step)))
        sheet.went_to.connect(lambda at: self._act(lambda: presenter.sheet.go_to(at)))

    def _show_sheet(self) -> None:
        self._act(self._presenter.show_sheet)
        if self._presenter.sheet.is_open:
            self.sheet.paper.setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _close_sheet(self) -> None:
        self._act(self._presenter.sheet.close)
        self.plan.setFocus(Qt.FocusReason.OtherFocusReason)

    def _describe(self) -> None:
        """Open the card, and go to it; once more goes to it again."""
        if self._presenter.sheet.is_open:
            return
        if not self._presenter.describing.is_open:
            self._act(self._presenter.describing.open)
        self.describe.choice(0).setFocus(Qt.FocusReason.ShortcutFocusReason)

    def _close_description(self) -> None:
        self._act(self._presenter.describing.close)
        self.edit.setFocus(Qt.FocusReason.OtherFocusReason)

    def _keep(self) -> None:
        self._act(self._presenter.describing.keep)
        if not self._presenter.describing.is_open:
            self.board.setFocus(Qt.FocusReason.OtherFocusReason)

    def _act(self, act: Callable[[], object]) -> None:
        """Do what the user did and draw it at once: flipping a lever must answer under the finger."""
        act()
        self.refresh()

    def _take_nearest(self, at: int) -> None:
        nearest = self._presenter.state.block.nearest
        if at < len(nearest):
            self._presenter.setting.take_address(nearest[at])

    # What the shell asks for

    def widget(self) -> QWidget:
        """Itself."""
        return self

    def refresh(self) -> None:
        """Draw what has changed."""
        state = self._presenter.state
        if state == self._shown:
            return
        self._shown = state
        self._show_top(state)
        self._faces.setCurrentIndex(0 if state.sheet is None else 1)
        if state.sheet is not None:
            self.sheet.show_sheet(state.sheet)
            return
        self.kinds.show_chosen(state.kinds.index(state.kind))
        self._keys.show_text(state.keys, Tone.INK2)
        self.board.show_choices([one.words for one in state.boards])
        self.board.show_chosen(state.board)
        self.board.setToolTip(state.about)
        self.tones.show_chosen(list(BodyTone).index(state.tone))
        self.facts.show_facts(state.facts)
        self.block.show_block(state.block, state.tone)
        self._show_block_words(state.block)
        self.compare.show_explained(state.explained)
        self.compare.setVisible(state.described is None)
        self.describe.setVisible(state.described is not None)
        if state.described is not None:
            self.describe.show_described(state.described)
        told = " ".join((*state.board_problems, state.told)).strip()
        self._told.show_text(told)
        self._told.setVisible(bool(told))

    def _show_top(self, state: SwitchesState) -> None:
        is_sheet = state.sheet is not None
        self._top.show_sentence(state.sheet.sentence if state.sheet is not None else state.sentence)
        self.device.setVisible(bool(state.device_words) and not is_sheet)
        self.device.show_words(state.device_words or "To the device", "F7")
        self.plan.setVisible(bool(state.sheet_words) and not is_sheet)
        self.plan.show_words(state.sheet_words or "Show labels", "Ctrl+L")
        self.label.setVisible(not is_sheet)

    def _show_block_words(self, block: BlockState) -> None:
        self._sum.show_text(block.sum_words, block.sum_tone)
        said = ". ".join((*block.others, block.moves)).strip(". ")
        self._said.show_text(said)
        self._said.setVisible(bool(said))
        self._trouble.show_text(block.trouble, Tone.DOUBT)
        self._trouble.setVisible(bool(block.trouble))
        for at, button in enumerate(self.nearest):
            button.setVisible(at < len(block.nearest))
            if at < len(block.nearest):
                button.show_words(f"Take {block.nearest[at]}")
        for entry, text in (
            (self.decimal, block.decimal),
            (self.hexadecimal, block.hexadecimal),
            (self.binary, block.binary),
        ):
            if not entry.hasFocus() and entry.text() != text:
                entry.setText(text)
        self._on_caption.show_text(block.on_caption)
        self._on.show_text(block.on_words)

    def panes(self) -> Sequence[QWidget]:
        """The block, the address, the comparison or the description; or the sheet."""
        if self._presenter.sheet.is_open:
            return (self.sheet.paper,)
        is_described = self._presenter.describing.is_open
        return self.block, self.decimal, self.describe.choice(0) if is_described else self.compare.intended

    def first_focus(self) -> QWidget:
        """The block, or the sheet."""
        return self.panes()[0]

    # Keys

    def event(self, event: QEvent) -> bool:
        """Keep Esc for what can be closed here: elsewhere it stops the job."""
        if event.type() is QEvent.Type.ShortcutOverride and self._closes(event):
            event.accept()
            return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Esc closes the sheet, or the description."""
        if self._closes(event) and self._presenter.sheet.is_open:
            self._close_sheet()
        elif self._closes(event):
            self._close_description()
        else:
            super().keyPressEvent(event)

    def _closes(self, event: QEvent) -> bool:
        is_escape = isinstance(event, QKeyEvent) and event.key() == Qt.Key.Key_Escape
        return is_escape and (self._presenter.describing.is_open or self._presenter.sheet.is_open)


def _under(look: Look, words: str, widget: QWidget) -> QVBoxLayout:
    column = QVBoxLayout()
    column.setSpacing(look.px(2))
    column.addWidget(caption(look, words))
    column.addWidget(widget)
    return column


def _row(look: Look, *parts: QWidget | QVBoxLayout | None, stretched: QWidget | None = None) -> QHBoxLayout:
    """Return parts side by side; None is where the room goes."""
    row = QHBoxLayout()
    row.setSpacing(look.px(SPACE_M))
    for part in parts:
        match part:
            case None:
                row.addStretch(1)
            case QWidget():
                row.addWidget(part, 1 if part is stretched else 0, Qt.AlignmentFlag.AlignBottom)
            case _:
                row.addLayout(part)
    return row

"""The cards of the views Move and Bytes, made and shown together."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget

from buswalk.ui.look import Look
from buswalk.ui.pages.page import Narrow
from buswalk.ui.pages.registers.frame_card import FrameActs, FrameCard
from buswalk.ui.pages.registers.frame_form import FrameForm
from buswalk.ui.pages.registers.move_card import MoveActs, MoveCard
from buswalk.ui.pages.registers.move_state import MoveTyped
from buswalk.ui.pages.registers.outcome_card import OutcomeCard
from buswalk.ui.pages.registers.presenter import RegistersPresenter
from buswalk.ui.pages.registers.registers_state import RegistersFace, RegistersState
from buswalk.ui.widgets.entries import ColumnArea


class OtherCards:
    """Hands what the user does to the presenter, and has it drawn at once."""

    def __init__(self, look: Look, narrow: Narrow, presenter: RegistersPresenter, refresh: Callable[[], None]) -> None:
        self._presenter = presenter
        self._refresh = refresh
        self.move = MoveCard(look, narrow, MoveActs(self._change_move, self._begin, self._stop))
        self.outcome = OutcomeCard(look, self._go_back)
        acts = FrameActs(self._change_frame, self._confirm, self._send, self._choose, self._type_again)
        self.frame = FrameCard(look, narrow, acts)
        is_narrow = narrow is Narrow.YES  # there the whole page scrolls
        self.faces: tuple[QWidget, QWidget] = (
            (self.move, self.frame)
            if is_narrow
            else (ColumnArea("move", self.move), ColumnArea("bytes of your own", self.frame))
        )

    def show_other(self, state: RegistersState) -> None:
        """Show the card of the view, if it is one of these."""
        is_move, is_frame = state.face is RegistersFace.MOVE, state.face is RegistersFace.BYTES
        for face, is_shown in zip(self.faces, (is_move, is_frame), strict=True):
            face.setVisible(is_shown)
        self.outcome.setVisible(is_move)
        if is_move:
            self.move.show_move(state.other.move)
            self.outcome.show_outcome(state.other.outcome)
        if is_frame:
            self.frame.show_frame(state.other.frame)

    def first_focus(self, face: RegistersFace, otherwise: QWidget) -> QWidget:
        """Return where the keyboard begins in a view; in none of these, the other one."""
        if face is RegistersFace.MOVE:
            return self.move.address
        return self.frame.typed if face is RegistersFace.BYTES else otherwise

    def focus_opened(self, face: RegistersFace) -> None:
        """Writing was opened: go on where it was opened for."""
        if face.writes_otherwise:
            target = self.move.confirm if face is RegistersFace.MOVE else self.frame.typed
            target.setFocus(Qt.FocusReason.OtherFocusReason)

    def _change_move(self, typed: MoveTyped) -> None:
        self._presenter.change_move(typed)

    def _begin(self) -> None:
        self._presenter.move()
        self._refresh()

    def _stop(self) -> None:
        self._presenter.other.moves.stop()

    def _go_back(self) -> None:
        self._presenter.go_back_last()
        self._refresh()
        self.move.confirm.setFocus(Qt.FocusReason.OtherFocusReason)

    def _change_frame(self, form: FrameForm) -> None:
        self._presenter.change_frame(form)

    def _confirm(self, is_ticked: bool) -> None:
        self._presenter.confirm_frame(is_confirmed=is_ticked)

    def _send(self) -> None:
        self._presenter.send_frame()
        self._refresh()

    def _choose(self, row: int) -> None:
        self._presenter.choose_sent(row)

    def _type_again(self, row: int) -> None:
        self._presenter.type_again(row)
        self._refresh()

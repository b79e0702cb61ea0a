"""Keeps what has the focus in sight in an area that scrolls: a key may lead to what lies below."""

from __future__ import annotations

from PySide6.QtCore import QObject, Qt, QTimer
from PySide6.QtWidgets import QApplication, QScrollArea, QWidget

from buswalk.ui.widgets.card import Card

MARGIN_PX = 8


class FocusInView(QObject):
    """Scrolls an area to what was given the focus, and to the whole card around it where that fits."""

    def __init__(self, area: QScrollArea) -> None:
        super().__init__(area)
        self._area = area
        self._bar = area.verticalScrollBar()
        self._left_at = self._bar.value()
        # What was just shown has its place only after the layout, which comes before this timer.
        self._soon = QTimer(self)
        self._soon.setSingleShot(True)
        self._soon.setInterval(0)
        self._soon.timeout.connect(self._bring)
        self._bar.rangeChanged.connect(self._range_changed)
        app = QApplication.instance()
        assert isinstance(app, QApplication)
        app.focusChanged.connect(self._focus_changed)

    def _focus_changed(self, _before: QWidget | None, now: QWidget | None) -> None:
        """A press of the mouse gives the focus too: there what is pressed must not move away from under it."""
        is_pressed = QApplication.mouseButtons() != Qt.MouseButton.NoButton
        if now is not None and not is_pressed and self._area.isAncestorOf(now):
            self._soon.start()

    def _range_changed(self, _least: int, _most: int) -> None:
        """Go along where the page grows; not where the user has scrolled elsewhere since."""
        if self._bar.value() == self._left_at:
            self._soon.start()

    def _bring(self) -> None:
        content, focused = self._area.widget(), QApplication.focusWidget()
        if content is None or focused is None or not content.isAncestorOf(focused):
            return
        card = _card_of(focused, content)
        if card is not None and card.height() <= self._area.viewport().height():
            self._area.ensureWidgetVisible(card, 0, 0)
        if focused.height() <= self._area.viewport().height():
            self._area.ensureWidgetVisible(focused, 0, MARGIN_PX)
        self._left_at = self._bar.value()


def _card_of(widget: QWidget, content: QWidget) -> Card | None:
    around: QObject | None = widget
    while around is not None and around is not content:
        if isinstance(around, Card):
            return around
        around = around.parent()
    return None

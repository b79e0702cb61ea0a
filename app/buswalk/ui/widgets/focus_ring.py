"""The focus ring, laid over the whole window so that no control moves when it comes."""

from __future__ import annotations

from PySide6.QtCore import QEvent, QObject, QPoint, QRect, QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QAbstractScrollArea, QApplication, QWidget
from shiboken6 import isValid

from buswalk.ui.look import Look
from buswalk.ui.shapes.address_shapes import draw_focus
from buswalk.ui.sizes import FOCUS_GAP, FOCUS_RING

_OWN_RING = "buswalk_draws_own_focus"
_MOVES = (QEvent.Type.Move, QEvent.Type.Resize, QEvent.Type.Show, QEvent.Type.Hide)


def draws_own_focus(widget: QWidget) -> None:
    """Say of a widget that it draws the ring itself: tables, strip, address picture."""
    widget.setProperty(_OWN_RING, 1)


class FocusRing(QWidget):
    """Follows the focus inside one window, wherever the focused control moves."""

    def __init__(self, window: QWidget, look: Look) -> None:
        super().__init__(window)
        self._window = window
        self._look = look
        self._followed: list[QWidget] = []
        self.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setAccessibleName("focus ring")
        self.hide()
        application = QApplication.instance()
        assert isinstance(application, QApplication)
        application.focusChanged.connect(self._focus_changed)
        self._focus_changed(None, application.focusWidget())

    def take_look(self, look: Look) -> None:
        """Draw in another look from now on."""
        self._look = look
        self._place()

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Follow moves of the focused control and of all it stands in."""
        if event.type() in _MOVES:
            self._place()
        return False

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw the ring just inside our own edge, so that its gap ends at the control."""
        painter = QPainter(self)
        target = self._target()
        if target is None:
            return
        origin = target.mapTo(self._window, QPoint(0, 0)) - self.pos()
        draw_focus(painter, self._look, QRectF(QRect(origin, target.size())))

    def _focus_changed(self, _old: QWidget | None, now: QWidget | None) -> None:
        for one in self._followed:
            if isValid(one):
                one.removeEventFilter(self)
        self._followed = []
        if now is not None and self._window.isAncestorOf(now):
            walked: QWidget | None = now
            while walked is not None and walked is not self._window:
                walked.installEventFilter(self)
                self._followed.append(walked)
                walked = walked.parentWidget()
        self._place()

    def _target(self) -> QWidget | None:
        if not self._followed or not isValid(self._followed[0]):
            return None
        target = self._followed[0]
        is_own = target.property(_OWN_RING) or not target.isVisible()
        return None if is_own else target

    def _place(self) -> None:
        target = self._target()
        if target is None:
            self.hide()
            return
        away = round((FOCUS_RING + FOCUS_GAP) * self._look.factor) + 1
        origin = target.mapTo(self._window, QPoint(0, 0))
        box = QRect(origin, target.size()).adjusted(-away, -away, away, away)
        for one in self._followed:
            if isValid(one) and isinstance(one, QAbstractScrollArea) and one is not target:
                seen = one.viewport()
                box &= QRect(seen.mapTo(self._window, QPoint(0, 0)), seen.size())
        box &= self._window.rect()
        self.setGeometry(box)
        self.setVisible(not box.isEmpty())
        self.raise_()
        self.update()

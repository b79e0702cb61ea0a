"""The way of the focus: F6 from pane to pane, Tab from page to strip, head line and rail."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QWidget


def next_pane(panes: Sequence[QWidget], focused: QWidget | None, step: int) -> QWidget:
    """Return where F6 goes: `panes` are what takes the focus in each, in order."""
    at = next((i for i, pane in enumerate(panes) if _holds(pane, focused)), None)
    if at is None:
        at = next((i for i, pane in enumerate(panes) if _stands_beside(pane, focused)), -1 if step > 0 else 0)
    return panes[(at + step) % len(panes)]


def _holds(pane: QWidget, focused: QWidget | None) -> bool:
    return focused is not None and (pane is focused or pane.isAncestorOf(focused))


def _stands_beside(pane: QWidget, focused: QWidget | None) -> bool:
    around = pane.parentWidget()
    return focused is not None and around is not None and around.isAncestorOf(focused)


def tab_stops(within: QWidget) -> list[QWidget]:
    """Return what Tab reaches in a widget, in the order it was put together; lists that pop up are windows apart."""
    window = within.window()
    return [
        one
        for one in within.findChildren(QWidget)
        if one.focusPolicy() & Qt.FocusPolicy.TabFocus and one.window() is window
    ]


def chain(stops: Sequence[QWidget]) -> None:
    """Let Tab go through these in order."""
    for one, after in pairwise(stops):
        QWidget.setTabOrder(one, after)

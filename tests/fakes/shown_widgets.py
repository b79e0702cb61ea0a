"""Walks the widgets of a window: which have no name for a reader, and which show words that are cut."""

from __future__ import annotations

from PySide6.QtGui import QFontMetrics
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractScrollArea,
    QComboBox,
    QLabel,
    QLayout,
    QLineEdit,
    QScrollBar,
    QWidget,
)

from buswalk.ui.shell.head_view import HeadCellView, JobCellView
from buswalk.ui.shell.rail_view import RailItem
from buswalk.ui.widgets.labels import NameText
from buswalk.ui.widgets.table import Table


def unnamed(window: QWidget) -> list[str]:
    """Return every visible widget that a reader could not name: what Qt makes inside its own widgets is not ours."""
    found = []
    for one in window.findChildren(QWidget):
        if not one.isVisibleTo(window) or _is_inside_qt(one):
            continue
        words = one.text() if isinstance(one, QLabel | QAbstractButton) else ""
        is_layout_only = type(one) is QWidget and one.layout() is not None
        if not one.accessibleName() and not words and not is_layout_only:
            found.append(f"{type(one).__name__} in {type(one.parentWidget()).__name__}")
    return found


def _is_inside_qt(widget: QWidget) -> bool:
    parent = widget.parentWidget()
    if isinstance(widget, QScrollBar) or widget.objectName().startswith("qt_"):
        return True
    if isinstance(parent, QAbstractScrollArea) and widget is parent.viewport():
        return True
    is_corner = isinstance(parent, QAbstractScrollArea) and isinstance(widget, QAbstractButton)
    return is_corner or isinstance(parent, QComboBox | QLineEdit | QScrollBar) or type(widget).__name__ == "QHeaderView"


def cut(window: QWidget) -> list[str]:
    """Return all words that are not wholly seen in a visible widget, names of devices apart."""
    found = []
    for one in window.findChildren(QWidget):
        if one.isVisibleTo(window):
            found += _cut_words(one)
    return found


def _cut_words(one: QWidget) -> list[str]:
    match one:
        case NameText():
            return []
        case QLabel() if one.text():
            return [one.text()] if _is_label_cut(one) else []
        case Table():
            return one.cut_cells()
        case HeadCellView() | JobCellView() | RailItem():
            return [one.accessibleName()] if one.is_cut else []
        case QAbstractButton() | QComboBox():
            needed = one.minimumSizeHint()
            return [one.accessibleName()] if one.width() < needed.width() or one.height() < needed.height() else []
        case _:
            return [f"room of {one.accessibleName()}"] if _is_layout_short(one) else []


def _is_label_cut(label: QLabel) -> bool:
    metrics = QFontMetrics(label.font())
    if label.wordWrap():
        return label.heightForWidth(label.width()) > label.height() + metrics.descent()
    return metrics.horizontalAdvance(label.text()) > label.width() + 1


def _is_layout_short(one: QWidget) -> bool:
    layout = one.layout()
    return isinstance(layout, QLayout) and layout.minimumSize().width() > one.width() + 1

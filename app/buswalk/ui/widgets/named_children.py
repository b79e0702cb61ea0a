"""Silent children of a drawn widget: what it draws has parts that readers can name and find."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QAccessible
from PySide6.QtWidgets import QWidget


class NamedChildren:
    """Keeps one child a part. Where nobody reads the screen there are none, for each costs a little at every paint."""

    def __init__(self, parent: QWidget, box: Callable[[int], QRect]) -> None:
        self._parent = parent
        self._box = box
        self._children: list[QWidget] = []

    def show_names(self, names: Callable[[], Sequence[str]]) -> None:
        """Name every part; `names` is asked only while somebody reads."""
        if not QAccessible.isActive():
            return
        told = names()
        while len(self._children) < len(told):
            child = QWidget(self._parent)
            child.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
            child.setFocusPolicy(Qt.FocusPolicy.NoFocus)
            self._children.append(child)
        for at, (child, name) in enumerate(zip(self._children, told, strict=False)):
            if child.accessibleName() != name:
                child.setAccessibleName(name)
            if child.geometry() != self._box(at):
                child.setGeometry(self._box(at))
            child.show()
        for child in self._children[len(told) :]:
            child.setAccessibleName("empty")
            child.hide()

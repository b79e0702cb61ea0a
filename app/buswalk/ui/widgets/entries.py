"""What is typed or chosen from a list: entry, list box, tick. Each is made with the name of what it takes."""

from __future__ import annotations

from collections.abc import Sequence

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPainter, QPaintEvent, QPen, QPolygonF
from PySide6.QtWidgets import QCheckBox, QComboBox, QLineEdit, QScrollArea, QSizePolicy, QWidget

from buswalk.ui.look import Look, pen
from buswalk.ui.sizes import ADDRESS_ENTRY, ENTRY, ENTRY_TEXT, RADIUS, TEXT
from buswalk.ui.widgets.focus_in_view import FocusInView


class Entry(QLineEdit):
    """One line of text. `columns` is how many figures wide it is; 0 takes what there is."""

    def __init__(self, look: Look, name: str, columns: int = 0) -> None:
        super().__init__()
        self._set_up(look, name, look.regular(TEXT), ENTRY, columns)

    def _set_up(self, look: Look, name: str, font: QFont, height: int, columns: int) -> None:
        self.setAccessibleName(name)
        self.setFont(font)
        self.setFixedHeight(look.px(height))
        self.setStyleSheet(_entry_sheet(look))
        if columns:
            self.setFixedWidth(QFontMetrics(font).horizontalAdvance("0" * columns) + look.px(24))


class AddressEntry(Entry):
    """Where an address is typed: 40 high, 17 bold."""

    def __init__(self, look: Look, name: str) -> None:
        super().__init__(look, name)
        self._set_up(look, name, look.bold(ENTRY_TEXT), ADDRESS_ENTRY, 4)


def _entry_sheet(look: Look) -> str:
    colours = look.colours
    return (
        f"QLineEdit {{ background: {colours.panel}; color: {colours.ink}; border: 1px solid {colours.edge};"
        f" border-radius: {look.px(RADIUS)}px; padding: 0 {look.px(8)}px;"
        f" selection-background-color: {colours.select}; selection-color: {colours.ink}; }}"
        f"QLineEdit:disabled {{ color: {colours.ink3}; border: 1px dashed {colours.ink3}; }}"
    )


class Choice(QComboBox):
    """A list to choose one from: `activated` tells what the user chose."""

    def __init__(self, look: Look, name: str, words: Sequence[str] = ()) -> None:
        super().__init__()
        self._look = look
        self.setAccessibleName(name)
        self.setFont(look.regular(TEXT))
        self.setFixedHeight(look.px(ENTRY))
        self.view().setAccessibleName(f"{name}, list")
        self.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.show_choices(words)

    def show_choices(self, words: Sequence[str]) -> None:
        """Offer these; nothing if they are offered already."""
        if [self.itemText(i) for i in range(self.count())] == list(words):
            return
        self.clear()
        self.addItems(list(words))

    def show_chosen(self, index: int) -> None:
        """Show which is chosen."""
        if index != self.currentIndex():
            self.setCurrentIndex(index)

    def sizeHint(self) -> QSize:
        """Wide enough for the longest."""
        metrics = QFontMetrics(self.font())
        widest = max((metrics.horizontalAdvance(self.itemText(i)) for i in range(self.count())), default=0)
        return QSize(widest + self._look.px(44), self._look.px(ENTRY))

    def minimumSizeHint(self) -> QSize:
        """The same: a value is never cut."""
        return self.sizeHint()

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw box, words and the sign that a list opens."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        outline = QPen(QColor(colours.edge if self.isEnabled() else colours.ink3))
        if not self.isEnabled():
            outline.setStyle(Qt.PenStyle.DashLine)
        painter.setPen(outline)
        painter.setBrush(QColor(colours.panel))
        radius = RADIUS * look.factor
        painter.drawRoundedRect(QRectF(self.rect()).adjusted(0.5, 0.5, -0.5, -0.5), radius, radius)
        painter.setPen(QColor(colours.ink if self.isEnabled() else colours.ink3))
        room = self.rect().adjusted(look.px(9), 0, -look.px(28), 0)
        painter.drawText(room, int(Qt.AlignmentFlag.AlignVCenter), self._shown_text(room.width()))
        middle = QPointF(self.width() - look.px(15), self.height() / 2.0)
        reach = 4.5 * look.factor
        painter.setPen(pen(colours.ink, 1.6 * look.factor))
        painter.drawPolyline(
            QPolygonF(
                [
                    middle + QPointF(-reach, -reach / 2),
                    middle + QPointF(0, reach / 2),
                    middle + QPointF(reach, -reach / 2),
                ]
            )
        )

    def _shown_text(self, _width: int) -> str:
        return self.currentText()


class NameChoice(Choice):
    """A list of names: the chosen one may be cut at its end where there is little room; whole in list and tool tip."""

    def __init__(self, look: Look, name: str, least_width: int) -> None:
        self._least_width = look.px(least_width)
        super().__init__(look, name)
        self.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)

    def minimumSizeHint(self) -> QSize:
        """So much is always there."""
        return QSize(min(self._least_width, self.sizeHint().width()), self._look.px(ENTRY))

    def showPopup(self) -> None:
        """Open the list wide enough for the longest name."""
        self.view().setMinimumWidth(self.sizeHint().width())
        super().showPopup()

    def _shown_text(self, width: int) -> str:
        whole = self.currentText()
        shown = QFontMetrics(self.font()).elidedText(whole, Qt.TextElideMode.ElideRight, width)
        self.setToolTip(whole if shown != whole else "")
        return shown


class Tick(QCheckBox):
    """A box to tick, with its sentence; the whole sentence can be pressed."""

    def __init__(self, look: Look, words: str) -> None:
        super().__init__(words)
        self._look = look
        self.setAccessibleName(words)
        self.setFont(look.regular(TEXT))
        self.setMinimumHeight(look.px(28))
        self.setSizePolicy(QSizePolicy.Policy.Maximum, QSizePolicy.Policy.Fixed)

    def sizeHint(self) -> QSize:
        """Room for box and words."""
        return QSize(QFontMetrics(self.font()).horizontalAdvance(self.text()) + self._look.px(30), self._look.px(28))

    def hitButton(self, pos: object) -> bool:
        """Take a press anywhere."""
        return True

    def paintEvent(self, event: QPaintEvent) -> None:
        """Draw box, tick and words."""
        look, colours = self._look, self._look.colours
        painter = QPainter(self)
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        side = look.px(18)
        box = QRect(1, (self.height() - side) // 2, side, side)
        painter.setPen(QPen(QColor(colours.edge if self.isEnabled() else colours.ink3)))
        painter.setBrush(QColor(colours.solid if self.isChecked() and self.isEnabled() else colours.panel))
        painter.drawRect(box)
        if self.isChecked():
            painter.setPen(pen(colours.onsolid if self.isEnabled() else colours.ink3, 2.0 * look.factor))
            where = QRectF(box)
            painter.drawPolyline(
                QPolygonF(
                    [
                        QPointF(where.left() + side * 0.2, where.center().y()),
                        QPointF(where.left() + side * 0.42, where.bottom() - side * 0.25),
                        QPointF(where.right() - side * 0.18, where.top() + side * 0.25),
                    ]
                )
            )
        painter.setFont(self.font())
        painter.setPen(QColor(colours.ink if self.isEnabled() else colours.ink3))
        painter.drawText(
            self.rect().adjusted(side + look.px(8), 0, 0, 0), int(Qt.AlignmentFlag.AlignVCenter), self.text()
        )


class ColumnArea(QScrollArea):
    """A page in one column: scrolls down, never sideways, and brings what has the focus into view."""

    def __init__(self, name: str, content: QWidget) -> None:
        super().__init__()
        self.setAccessibleName(name)
        self.setWidgetResizable(True)
        self.setFrameShape(QScrollArea.Shape.NoFrame)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.viewport().setAccessibleName(name)
        self.setWidget(content)
        # A scroll area gives its content a ground of its own, which would show on a card.
        content.setAutoFillBackground(False)
        self.viewport().setAutoFillBackground(False)
        FocusInView(self)

"""Texts of a page: captions, values, sentences, and the pair of caption and value."""

from __future__ import annotations

from PySide6.QtCore import QSize, Qt
from PySide6.QtGui import QColor, QFont, QFontMetrics, QPalette, QResizeEvent
from PySide6.QtWidgets import QLabel, QSizePolicy, QVBoxLayout, QWidget

from buswalk.ui.look import Look
from buswalk.ui.sizes import CAPTION_TEXT, KEY_VALUE_TEXT, SPACE_XS, TEXT
from buswalk.ui.tone_colours import text_colour
from buswalk.ui.tones import Tone


class Text(QLabel):
    """One text in one tone. Plain text only: what comes from a device or a file is never read as markup."""

    def __init__(self, look: Look, font: QFont, words: str = "", tone: Tone = Tone.INK) -> None:
        super().__init__()
        self._look = look
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setFont(font)
        self.show_text(words, tone)

    def show_text(self, words: str, tone: Tone = Tone.INK) -> None:
        """Show words in a tone."""
        if words != self.text():
            self.setText(words)
        palette = self.palette()
        wanted = QColor(text_colour(self._look.colours, tone))
        if palette.color(QPalette.ColorRole.WindowText) != wanted:
            palette.setColor(QPalette.ColorRole.WindowText, wanted)
            self.setPalette(palette)

    def wrapped(self) -> Text:
        """Let it break into lines; return itself."""
        self.setWordWrap(True)
        self.setAlignment(Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft)
        policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
        policy.setHeightForWidth(True)
        self.setSizePolicy(policy)
        return self


def caption(look: Look, words: str = "", tone: Tone = Tone.INK2) -> Text:
    """Return a caption: 12, ink2."""
    return Text(look, look.regular(CAPTION_TEXT), words, tone)


def sentence(look: Look, words: str = "", tone: Tone = Tone.INK2) -> Text:
    """Return a sentence that breaks into lines: 13."""
    return Text(look, look.regular(TEXT), words, tone).wrapped()


def heading(look: Look, words: str = "", tone: Tone = Tone.INK) -> Text:
    """Return the title of a card: 13 bold."""
    return Text(look, look.bold(TEXT), words, tone)


def key_value(look: Look, words: str = "", tone: Tone = Tone.INK) -> Text:
    """Return a key value: 15 bold."""
    return Text(look, look.bold(KEY_VALUE_TEXT), words, tone)


class NameText(Text):
    """A device's name: the one kind of text that may be cut at its end; whole in tool tip and accessible name."""

    def __init__(self, look: Look, font: QFont, words: str = "", tone: Tone = Tone.INK) -> None:
        self._whole = words
        super().__init__(look, font, words, tone)
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)

    def show_text(self, words: str, tone: Tone = Tone.INK) -> None:
        """Show a name, cut where it does not fit."""
        self._whole = words
        self.setAccessibleName(words)
        super().show_text(self._cut(), tone)
        self.setToolTip(words if self.text() != words else "")

    def minimumSizeHint(self) -> QSize:
        """Room for a few letters."""
        return QSize(QFontMetrics(self.font()).horizontalAdvance("mmm…"), super().minimumSizeHint().height())

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Cut anew."""
        super().resizeEvent(event)
        self.setText(self._cut())
        self.setToolTip(self._whole if self.text() != self._whole else "")

    def _cut(self) -> str:
        metrics = QFontMetrics(self.font())
        return metrics.elidedText(self._whole, Qt.TextElideMode.ElideRight, max(self.width(), 1))


class CaptionValue(QWidget):
    """A caption over a value, with a note under it where there is one."""

    def __init__(self, look: Look, words: str) -> None:
        super().__init__()
        column = QVBoxLayout(self)
        column.setContentsMargins(0, 0, 0, 0)
        column.setSpacing(look.px(SPACE_XS) // 2)
        self._caption = caption(look, words)
        self._value = key_value(look)
        self._note = Text(look, look.regular(TEXT), "", Tone.INK2)
        for one in (self._caption, self._value, self._note):
            column.addWidget(one)
        self._note.hide()
        self.setAccessibleName(words)

    def show_caption(self, words: str) -> None:
        """Show another caption."""
        self._caption.show_text(words, Tone.INK2)
        self.setAccessibleName(words)

    def show_value(self, words: str, note: str = "", tone: Tone = Tone.INK) -> None:
        """Show a value and its note."""
        self._value.show_text(words, tone)
        self._note.show_text(note, Tone.INK2)
        self._note.setVisible(bool(note))
        self.setAccessibleDescription(f"{words}. {note}" if note else words)

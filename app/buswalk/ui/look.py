"""The look of one moment: palette and text size, as one value that every widget is made with.

When it changes the shell makes all views anew from their presenters' states: no widget follows a change by itself.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cache

from PySide6.QtGui import QColor, QFont, QFontDatabase, QFontMetricsF, QPen

from buswalk.ui.palettes import LIGHT, Colours
from buswalk.ui.sizes import TextSize

_TABULAR = "tnum"


@dataclass(frozen=True, slots=True)
class Look:
    """Colours and sizes; sizes are asked for as they are at 100 %."""

    colours: Colours = LIGHT
    text_size: TextSize = TextSize.USUAL
    factor: float = field(init=False, compare=False)
    """What sizes are multiplied by."""

    def __post_init__(self) -> None:
        object.__setattr__(self, "factor", self.text_size.factor)

    def px(self, at_100: float) -> int:
        """Return a size in whole logical px."""
        return round(at_100 * self.factor)

    def regular(self, at_100: float) -> QFont:
        """Return the platform's default face, figures of one width where it has them."""
        return QFont(_face(max(1, self.px(at_100)), is_bold=False))

    def bold(self, at_100: float) -> QFont:
        """Return the bold of `regular`; there is no third weight."""
        return QFont(_face(max(1, self.px(at_100)), is_bold=True))

    def fixed(self, at_100: float) -> QFont:
        """Return the platform's face for bytes and raw words."""
        font = QFontDatabase.systemFont(QFontDatabase.SystemFont.FixedFont)
        font.setPixelSize(max(1, self.px(at_100)))
        return font

    def bold_with_capitals(self, height_at_100: float) -> QFont:
        """Return a bold face whose capitals and figures are at least so high: for reading from afar."""
        size = int(height_at_100)
        while QFontMetricsF(self.bold(size)).capHeight() < height_at_100 * self.factor:
            size += 1
        return self.bold(size)


@cache
def _face(pixels: int, *, is_bold: bool) -> QFont:
    """Faces are asked for thousands of times a second while a page draws; each is made once."""
    font = QFont()
    font.setPixelSize(pixels)
    font.setFeature(QFont.Tag(_TABULAR), 1)
    font.setBold(is_bold)
    return font


def colour(value: str) -> QColor:
    """Return Qt's colour of a #RRGGBB."""
    return QColor(value)


def pen(value: str, width: float) -> QPen:
    """Return a plain pen with square ends: what shapes are drawn with."""
    return QPen(_pen(value, width))


@cache
def _pen(value: str, width: float) -> QPen:
    drawn = QPen(QColor(value))
    drawn.setWidthF(width)
    drawn.setCapStyle(drawn.capStyle().FlatCap)
    drawn.setJoinStyle(drawn.joinStyle().MiterJoin)
    return drawn

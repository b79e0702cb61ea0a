"""No number over a slot is cut at the left end of the strip: of 154 the 54 would be left, which is another address."""

from __future__ import annotations

from dataclasses import replace

import pytest
from PySide6.QtGui import QColor, QFontMetrics, QImage
from PySide6.QtWidgets import QApplication

from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.sizes import STRIP_LABEL_TEXT
from buswalk.ui.strip.canvas import StripCanvas
from buswalk.ui.strip.slots import Sentence, Slot, StripState

LABEL = "154"
ABOVE_PEGS = 16
"""Labels stand in the uppermost pixels, above all shapes (look: a peg is from -15, the wire at 34 of 56)."""


def drawn(look: Look, state: StripState, width: int) -> QImage:
    """Return the picture of a strip 56 high."""
    canvas = StripCanvas(look, state)
    canvas.resize(width, look.px(56))
    image = QImage(canvas.size(), QImage.Format.Format_RGB32)
    image.fill(QColor(look.colours.panel))
    canvas.render(image)
    return image


def inked(image: QImage) -> list[int]:
    """Return the columns in which something is written above the pegs."""
    ground = image.pixel(image.width() - 1, 1)
    rows = range(4, ABOVE_PEGS)
    return [x for x in range(image.width()) if any(image.pixel(x, y) != ground for y in rows)]


def groups(columns: list[int]) -> list[tuple[int, int]]:
    """Return the words: columns less than 6 px apart are one."""
    found: list[tuple[int, int]] = []
    for x in columns:
        if found and x - found[-1][1] < 6:
            found[-1] = (found[-1][0], x)
        else:
            found.append((x, x))
    return found


@pytest.mark.parametrize("width", range(300, 340, 3))
def test_a_number_that_would_be_cut_at_the_left_end_is_left_out(qapp: QApplication, width: int) -> None:
    """Whatever the width, each word that is there is as wide as the whole number."""

    look = Look()
    words = Sentence(OutcomeKind.NO_REPLY, "154 no reply", "")
    slot = Slot(1, 154, OutcomeKind.NO_REPLY, words, label=LABEL, is_bold=True)
    items = tuple(replace(slot, number=number) for number in range(1, 30))

    found = groups(inked(drawn(look, StripState(items=items, sentence=words, spoken=""), width)))

    whole = QFontMetrics(look.bold(STRIP_LABEL_TEXT)).horizontalAdvance(LABEL)
    numbers = [last - first + 1 for first, last in found if first < width - 30]
    assert len(numbers) > 3
    assert min(numbers) >= whole - 5

"""The window's colours for pictures of switches."""

from __future__ import annotations

from dataclasses import replace

from PySide6.QtCore import Qt
from PySide6.QtGui import QColor

from buswalk.domain.switches.picture import BodyTone
from buswalk.ui.look import Look
from buswalk.ui.palettes import LIGHT
from buswalk.ui.printing.switch_drawing import Inks


def screen_inks(look: Look, tone: BodyTone) -> Inks:
    """Return colours and widths; widths are px at 100 %, as the pictures for the screen are.

    White levers are white in both palettes: they are to look like those of the board.
    """
    colours = look.colours
    inks = Inks(
        ink=QColor(colours.solid),
        paper=QColor(colours.panel),
        body=QColor(colours.bar),
        dark_body=QColor(LIGHT.ink2),
        mark=QColor(colours.doubt.mark),
        line=1.2,
        heavy=1.6,
        mark_width=4.0,
        mark_style=Qt.PenStyle.SolidLine,
        hatch=0.9,
        corner=5.0,
    )
    if tone is BodyTone.FILLED_IS_ON:
        return inks
    return replace(inks, ink=QColor(LIGHT.solid), paper=QColor(LIGHT.panel), body=QColor(LIGHT.panel))

"""How curves are told apart: by dash first, by colour second, in a fixed order."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QPen, QPolygonF
from shiboken6 import VoidPtr

from buswalk.ui.palettes import Colours

DASHES: tuple[tuple[float, ...], ...] = ((), (5, 2), (1.5, 2), (8, 2, 1.5, 2))
BYTES_OF_A_POINT = 16


def curve_pen(colours: Colours, place: int) -> QPen:
    """Return the pen of the curve at a place in its plot, one px wide: wider ones cost eight times as much."""
    hues = (colours.ink, colours.focus, colours.ink3, colours.ink2)
    pen = QPen(QColor(hues[place % len(hues)]))
    pen.setWidth(1)
    pen.setCosmetic(True)
    dash = DASHES[place % len(DASHES)]
    if dash:
        pen.setStyle(Qt.PenStyle.CustomDashLine)
        pen.setDashPattern(list(dash))
    return pen


def polygon(xs: NDArray[np.float64], ys: NDArray[np.float64]) -> QPolygonF:
    """Return points as Qt keeps them, written in one go: one by one they would cost more than drawing them."""
    points = QPolygonF()
    points.resize(len(xs))
    # A QPointF is two doubles; its container lays them side by side.
    memory = np.frombuffer(_memory(points, len(xs) * BYTES_OF_A_POINT), dtype=np.float64)
    memory[0::2] = xs
    memory[1::2] = ys
    return points


def _memory(points: QPolygonF, size: int) -> Any:
    """Return the polygon's own memory, to be written; its stubs know less than it takes."""
    make: Any = VoidPtr
    return make(points.data(), size, 1)

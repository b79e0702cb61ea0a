"""Where the plots stand in a box: one above the other by weight, one time axis below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from buswalk.ui.look import Look
from buswalk.ui.pages.trend.time_window import TimeWindow

AXIS_WIDTH, TIMES_HEIGHT, GAP, TOP, RIGHT = 56, 26, 10, 6, 9


@dataclass(frozen=True, slots=True)
class PlotBoxes:
    """The boxes, from above; all have the same left and width."""

    boxes: tuple[QRectF, ...]
    left: float
    width: float
    top: float
    bottom: float

    def x_of(self, window: TimeWindow, time_s: float) -> float:
        """Return where a moment stands."""
        return self.left + (time_s - window.begins_s) / window.seconds * self.width

    def time_of(self, window: TimeWindow, x: float) -> float:
        """Return the moment that stands at a place."""
        return window.begins_s + (x - self.left) / self.width * window.seconds


def plot_boxes(look: Look, room: QRectF, weights: Sequence[int]) -> PlotBoxes:
    """Share the room among the plots."""
    left = room.left() + look.px(AXIS_WIDTH)
    width = max(1.0, float(int(room.right() - look.px(RIGHT) - left)))
    top = room.top() + look.px(TOP)
    high = room.bottom() - look.px(TIMES_HEIGHT) - top - look.px(GAP) * max(len(weights) - 1, 0)
    boxes = []
    y = top
    for weight in weights:
        height = high * weight / sum(weights)
        boxes.append(QRectF(left, round(y), width, round(height)))
        y += height + look.px(GAP)
    return PlotBoxes(tuple(boxes), left, width, top, boxes[-1].bottom() if boxes else top)

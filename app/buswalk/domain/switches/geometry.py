"""Rectangles, texts and quarter turns in millimetres, y downward: what pictures of switches are made of."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


class Turn(Enum):
    """How the board hangs before the eye, clockwise from its description."""

    NONE = 0
    RIGHT = 90
    HALF = 180
    LEFT = 270

    @property
    def quarters(self) -> int:
        """Quarter turns."""
        return self.value // 90


@dataclass(frozen=True, slots=True)
class Point:
    """A place."""

    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True)
class Rectangle:
    """A rectangle with upright sides."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float

    @property
    def center(self) -> Point:
        """Its middle."""
        return Point(self.x_mm + self.width_mm / 2, self.y_mm + self.height_mm / 2)

    @property
    def right_mm(self) -> float:
        """Its right side."""
        return self.x_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """Its lower side."""
        return self.y_mm + self.height_mm

    def holds(self, other: Rectangle) -> bool:
        """Whether another one lies inside, edges included."""
        slack = 1e-9
        return (
            self.x_mm <= other.x_mm + slack
            and self.y_mm <= other.y_mm + slack
            and self.right_mm >= other.right_mm - slack
            and self.bottom_mm >= other.bottom_mm - slack
        )

    def moved(self, x_mm: float, y_mm: float) -> Rectangle:
        """Return it elsewhere."""
        return Rectangle(self.x_mm + x_mm, self.y_mm + y_mm, self.width_mm, self.height_mm)


class Align(Enum):
    """On which side of a text its point is."""

    LEFT = "left"
    CENTER = "center"
    RIGHT = "right"


@dataclass(frozen=True, slots=True)
class Text:
    """Words that are always upright; several lines stand around the point.

    Attributes:
        at: Half-way up; left end, middle or right end by `align`.
        figure_mm: Height of figures and capitals.
        room_mm: How wide it may be: what is wider is drawn narrower, and cut at its end only after that; 0 for any.
    """

    lines: tuple[str, ...]
    at: Point
    figure_mm: float
    align: Align = Align.CENTER
    is_bold: bool = False
    room_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Frame:
    """A picture's area before it is turned; it turns what lies in it."""

    width_mm: float
    height_mm: float
    turn: Turn

    @property
    def turned_size_mm(self) -> tuple[float, float]:
        """Width and height as seen."""
        return (self.width_mm, self.height_mm) if self.turn.quarters % 2 == 0 else (self.height_mm, self.width_mm)

    def point(self, at: Point) -> Point:
        """Return where a point comes to lie."""
        match self.turn:
            case Turn.NONE:
                return at
            case Turn.RIGHT:
                return Point(self.height_mm - at.y_mm, at.x_mm)
            case Turn.HALF:
                return Point(self.width_mm - at.x_mm, self.height_mm - at.y_mm)
            case Turn.LEFT:
                return Point(at.y_mm, self.width_mm - at.x_mm)

    def rectangle(self, one: Rectangle) -> Rectangle:
        """Return where a rectangle comes to lie."""
        first, second = self.point(Point(one.x_mm, one.y_mm)), self.point(Point(one.right_mm, one.bottom_mm))
        left, right = sorted((first.x_mm, second.x_mm))
        top, bottom = sorted((first.y_mm, second.y_mm))
        return Rectangle(left, top, right - left, bottom - top)

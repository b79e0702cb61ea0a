"""A page of paper as values: frames to cut along, texts, pictures of switches. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.domain.switches.geometry import Point, Rectangle, Text
from buswalk.domain.switches.picture import Picture

WIDTH_MM = 210.0
HEIGHT_MM = 297.0
MARGIN_MM = 10.0
LEAST_FIGURE_MM = 3.5
"""Height of figures that can be read at 60 cm: 20 minutes of arc."""


@dataclass(frozen=True, slots=True)
class PlacedPicture:
    """A picture of switches and where its top left corner is."""

    picture: Picture
    at: Point


@dataclass(frozen=True, slots=True)
class Card:
    """One label: cut along its frame."""

    frame: Rectangle
    texts: tuple[Text, ...]
    pictures: tuple[PlacedPicture, ...]


@dataclass(frozen=True, slots=True)
class SheetPage:
    """One page: its heading and its cards."""

    heading: Text
    cards: tuple[Card, ...]

"""Lays out labels of planned devices on pages to be cut: where each text and each picture of switches stands."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass, replace

from buswalk.domain.switches.board import Board, Pattern
from buswalk.domain.switches.geometry import Align, Point, Rectangle, Text, Turn
from buswalk.domain.switches.label import Label
from buswalk.domain.switches.picture import picture_of
from buswalk.domain.switches.reading import decoded
from buswalk.domain.switches.wording import decoded_words, on_words
from buswalk.ui.printing.page import HEIGHT_MM, MARGIN_MM, WIDTH_MM, Card, PlacedPicture, SheetPage

GAP_MM = 4.0
PADDING_MM = 4.0
ADDRESS_MM = 9.0
FIGURE_MM = 3.6
LINE_MM = 5.6
HEADING_MM = 8.0
ADDRESS_ROOM_MM = 27.0
SIGN_MM = 2.6
"""Mean width of a sign whose figures are 3.6 high, for breaking lines; the drawing narrows what is wider still."""
USABLE_MM = WIDTH_MM - 2 * MARGIN_MM
HALF_MM = (USABLE_MM - GAP_MM) / 2
BOTTOM_MM = HEIGHT_MM - MARGIN_MM


def sheet_of(labels: Sequence[Label], turn: Turn = Turn.NONE) -> tuple[SheetPage, ...]:
    """Return the pages, at least one card a label and in their order; two stand side by side where both are narrow."""
    rows = _rows([_draft(label, turn) for label in labels])
    pages: list[list[Card]] = [[]]
    top = MARGIN_MM + HEADING_MM
    for row in rows:
        height = max(one.height_mm for one in row)
        if top + height > BOTTOM_MM and pages[-1]:
            pages.append([])
            top = MARGIN_MM + HEADING_MM
        for place, draft in enumerate(row):
            at = Point(MARGIN_MM + place * (HALF_MM + GAP_MM), top)
            pages[-1].append(draft.card(at, height))
        top += height + GAP_MM
    return tuple(SheetPage(_heading(number, len(pages)), tuple(cards)) for number, cards in enumerate(pages, start=1))


@dataclass(frozen=True, slots=True)
class _Draft:
    """A card before it has a place: texts and picture from its own corner."""

    width_mm: float
    height_mm: float
    texts: tuple[Text, ...]
    pictures: tuple[PlacedPicture, ...]

    def card(self, at: Point, height_mm: float) -> Card:
        return Card(
            Rectangle(at.x_mm, at.y_mm, self.width_mm, height_mm),
            tuple(replace(one, at=_moved(one.at, at)) for one in self.texts),
            tuple(replace(one, at=_moved(one.at, at)) for one in self.pictures),
        )


def _rows(drafts: Sequence[_Draft]) -> list[list[_Draft]]:
    """Return what stands side by side; a narrow card takes the first half that is free, so that no paper is lost."""
    rows: list[list[_Draft]] = []
    for draft in drafts:
        free = next((row for row in rows if len(row) == 1 and row[0].width_mm <= HALF_MM), None)
        if free is not None and draft.width_mm <= HALF_MM:
            free.append(draft)
        else:
            rows.append([draft])
    return rows


def _draft(label: Label, turn: Turn) -> _Draft:
    picture = None
    if label.board is not None and label.pattern is not None:
        picture = picture_of(label.board, label.pattern, turn)
    width = HALF_MM if picture is None or picture.width_mm <= HALF_MM - 2 * PADDING_MM else USABLE_MM
    texts = _head(label, width)
    top = PADDING_MM + max(ADDRESS_MM + 2.0, LINE_MM * (len(texts) - 1)) + 2.0
    pictures: tuple[PlacedPicture, ...] = ()
    if picture is not None:
        pictures = (PlacedPicture(picture, Point((width - picture.width_mm) / 2, top)),)
        top += picture.height_mm + 2.0
    under = _under(label, width, top)
    return _Draft(width, top + LINE_MM * len(under) + PADDING_MM, (*texts, *under), pictures)


def _head(label: Label, width_mm: float) -> tuple[Text, ...]:
    """The address large; beside it name, place and setting."""
    address = Text(
        (str(label.server_address),),
        Point(PADDING_MM, PADDING_MM + ADDRESS_MM / 2),
        ADDRESS_MM,
        Align.LEFT,
        is_bold=True,
        room_mm=ADDRESS_ROOM_MM - 2.0,
    )
    left = PADDING_MM + ADDRESS_ROOM_MM
    beside = [one for one in (label.name, label.where, label.setting) if one]
    room = width_mm - left - PADDING_MM
    lines = tuple(
        Text((words,), Point(left, PADDING_MM + LINE_MM * (row + 0.4)), FIGURE_MM, Align.LEFT, row == 0, room)
        for row, words in enumerate(beside)
    )
    return (address, *lines)


def _under(label: Label, width_mm: float, top_mm: float) -> tuple[Text, ...]:
    """What is ON, what the other levers say, and which board it is."""
    paragraphs: list[tuple[str, bool]] = [(label.remark, False)] if label.remark else []
    if label.board is not None and label.pattern is not None:
        paragraphs += _said(label.board, label.pattern)
    room = width_mm - 2 * PADDING_MM
    lines = [
        (line, bold)
        for words, bold in paragraphs
        for line in textwrap.wrap(words, int(room / SIGN_MM), break_on_hyphens=False)
    ]
    return tuple(
        Text((line,), Point(PADDING_MM, top_mm + LINE_MM * (row + 0.5)), FIGURE_MM, Align.LEFT, bold, room)
        for row, (line, bold) in enumerate(lines)
    )


def _said(board: Board, pattern: Pattern) -> list[tuple[str, bool]]:
    others = [(decoded_words(one), False) for one in decoded(board, pattern)]
    return [(on_words(board, pattern), True), *others, (f"{board.name}, {board.takes_effect.value}", False)]


def _heading(number: int, pages: int) -> Text:
    words = f"Address switches, page {number} of {pages}; cut along the dashes"
    at = Point(MARGIN_MM, MARGIN_MM + HEADING_MM / 2 - 1.0)
    return Text((words,), at, FIGURE_MM, Align.LEFT, room_mm=USABLE_MM)


def _moved(point: Point, by: Point) -> Point:
    return Point(point.x_mm + by.x_mm, point.y_mm + by.y_mm)

"""Lays out a report on pages of A4: where each text and each rule stands. Plain Python."""

from __future__ import annotations

import textwrap
from collections.abc import Iterator
from dataclasses import dataclass

from buswalk.domain.report_sheet import ReportPart, ReportSheet, ReportTable
from buswalk.domain.switches.geometry import Align, Point, Text
from buswalk.ui.printing.page import HEIGHT_MM, WIDTH_MM

MARGIN_MM = 15.0
USABLE_MM = WIDTH_MM - 2 * MARGIN_MM
FIGURE_MM = 2.3
"""Height of figures of 9 point text, which is read from the hand."""
LINE_MM = 4.6
TITLE_MM = 4.0
HEADING_MM = 2.8
SIGN_MM = 1.72
"""Mean width of a sign of that height, for breaking lines; the drawing narrows what is wider still."""
TOP_MM = MARGIN_MM + 12.0
BOTTOM_MM = HEIGHT_MM - MARGIN_MM - 8.0
CELL_MM = 2.0
"""Tables are a little smaller, so that thirteen columns have room."""
CELL_SIGN_MM = 1.5
BOLD_IS_WIDER = 1.2
COLUMN_GAP_MM = 2.0
INDENT_MM = 1.0
"""Of each blank at the begin of a paragraph."""
LEAST_LINES_UNDER_HEADING = 2


@dataclass(frozen=True, slots=True)
class Rule:
    """A thin line across the page."""

    y_mm: float


@dataclass(frozen=True, slots=True)
class ReportPage:
    """One page."""

    texts: tuple[Text, ...]
    rules: tuple[Rule, ...]


@dataclass(frozen=True, slots=True)
class _Line:
    """One line: its texts, with places from the left margin and the line's own middle."""

    texts: tuple[Text, ...]
    height_mm: float = LINE_MM
    is_heading: bool = False
    has_rule: bool = False


def report_pages(sheet: ReportSheet) -> tuple[ReportPage, ...]:
    """Return the pages; a heading never stands alone at the foot of one."""
    pages: list[list[tuple[_Line, float]]] = [[]]
    top = TOP_MM
    lines = list(_lines(sheet))
    for place, line in enumerate(lines):
        needed = line.height_mm
        if line.is_heading:
            needed += sum(one.height_mm for one in lines[place + 1 : place + 1 + LEAST_LINES_UNDER_HEADING])
        if top + needed > BOTTOM_MM and pages[-1]:
            pages.append([])
            top = TOP_MM
        pages[-1].append((line, top))
        top += line.height_mm
    return tuple(_page(sheet, page, number, len(pages)) for number, page in enumerate(pages, start=1))


def _page(sheet: ReportSheet, placed: list[tuple[_Line, float]], number: int, pages: int) -> ReportPage:
    texts = [
        Text(
            (text.lines[0],),
            Point(text.at.x_mm + MARGIN_MM, top + line.height_mm / 2 + text.at.y_mm),
            text.figure_mm,
            text.align,
            text.is_bold,
            text.room_mm,
        )
        for line, top in placed
        for text in line.texts
    ]
    rules = [Rule(top + line.height_mm) for line, top in placed if line.has_rule]
    foot = Text((f"{sheet.title}, page {number} of {pages}",), Point(MARGIN_MM, HEIGHT_MM - MARGIN_MM), FIGURE_MM)
    head = _head(sheet)
    return ReportPage((*head, *texts, _left(foot)), (Rule(MARGIN_MM + 8.0), *rules, Rule(HEIGHT_MM - MARGIN_MM - 4.0)))


def _head(sheet: ReportSheet) -> tuple[Text, ...]:
    if not sheet.on_each_page:
        return ()
    at = Point(MARGIN_MM, MARGIN_MM + 2.5)
    return (Text((sheet.on_each_page,), at, TITLE_MM, Align.LEFT, is_bold=True, room_mm=USABLE_MM),)


def _left(text: Text) -> Text:
    return Text(text.lines, text.at, text.figure_mm, Align.LEFT, room_mm=USABLE_MM)


def _lines(sheet: ReportSheet) -> Iterator[_Line]:
    yield _Line(
        (Text((sheet.title,), Point(0.0, 0.0), TITLE_MM, Align.LEFT, is_bold=True, room_mm=USABLE_MM),),
        9.0,
        is_heading=True,
    )
    for one in sheet.parts:
        yield _Line(
            (Text((one.heading,), Point(0.0, 1.0), HEADING_MM, Align.LEFT, is_bold=True, room_mm=USABLE_MM),),
            8.0,
            is_heading=True,
        )
        yield from _part_lines(one)


def _part_lines(one: ReportPart) -> Iterator[_Line]:
    if one.table.rows:
        yield from _table_lines(one.table)
    for paragraph in one.paragraphs:
        own = " " * (len(paragraph) - len(paragraph.lstrip()))
        wrapped = textwrap.wrap(
            paragraph, int(USABLE_MM / SIGN_MM), subsequent_indent=f"{own}    ", break_on_hyphens=False
        )
        for words in wrapped or [""]:
            indent = INDENT_MM * (len(words) - len(words.lstrip()))
            text = Text((words.strip(),), Point(indent, 0.0), FIGURE_MM, Align.LEFT, room_mm=USABLE_MM - indent)
            yield _Line((text,))


def _table_lines(table: ReportTable) -> Iterator[_Line]:
    widths = _widths(table)
    yield _Line(tuple(_cells(table.heads, widths, is_bold=True)), LINE_MM + 0.6, has_rule=True)
    for row in table.rows:
        yield _Line(tuple(_cells(row, widths, is_bold=False)))


def _cells(cells: tuple[str, ...], widths: list[float], *, is_bold: bool) -> Iterator[Text]:
    left = 0.0
    for cell, width in zip(cells, widths, strict=True):
        yield Text((cell,), Point(left, 0.0), CELL_MM, Align.LEFT, is_bold, width - COLUMN_GAP_MM)
        left += width


def _widths(table: ReportTable) -> list[float]:
    """As wide as the longest cell; if all together are too wide, all become narrower alike."""
    wanted = [
        max(len(table.heads[place]) * BOLD_IS_WIDER, *(len(row[place]) for row in table.rows)) * CELL_SIGN_MM
        + COLUMN_GAP_MM
        for place in range(len(table.heads))
    ]
    scale = min(1.0, USABLE_MM / sum(wanted))
    return [one * scale for one in wanted]

"""Draws pages to a PDF file, black on white, true to scale."""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from PySide6.QtCore import QMarginsF, QPointF, QRectF, QSizeF, Qt
from PySide6.QtGui import QColor, QGuiApplication, QPageLayout, QPageSize, QPainter, QPdfWriter, QPen

from buswalk.domain.switches.geometry import Rectangle
from buswalk.domain.switches.picture import BodyTone
from buswalk.ui.printing.mm_painter import MmPainter
from buswalk.ui.printing.page import HEIGHT_MM, WIDTH_MM, Card, SheetPage
from buswalk.ui.printing.report_layout import MARGIN_MM as REPORT_MARGIN_MM
from buswalk.ui.printing.report_layout import ReportPage
from buswalk.ui.printing.switch_drawing import draw_picture

RESOLUTION_DPI = 600
MM_PER_INCH = 25.4
CUT_PEN_MM = 0.2


class CannotWrite(Exception):
    """A file that cannot be written.

    Attributes:
        sentence: What, where, what to do.
    """

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


@contextmanager
def without_a_screen() -> Iterator[None]:
    """Let Qt know fonts in a program that opens no window; nothing if a window is there already."""
    if QGuiApplication.instance() is not None:
        yield
        return
    # A screen that is named and not there ends the process: on systems with a choice none is asked for.
    is_free_to_choose = not sys.platform.startswith(("win", "darwin"))
    arguments = ["buswalk", "-platform", "offscreen"] if is_free_to_choose else ["buswalk"]
    application = QGuiApplication(arguments)
    try:
        yield
    finally:
        application.shutdown()


def write_pdf(path: Path, pages: Sequence[SheetPage], tone: BodyTone = BodyTone.FILLED_IS_ON) -> None:
    """Write pages into a new file.

    Raises:
        CannotWrite: The file is there already, or cannot be written.
    """
    with _new_file(path, "Address switches") as (painter, writer):
        draw_pages(painter, writer, pages, tone)


@contextmanager
def _new_file(path: Path, title: str) -> Iterator[tuple[QPainter, QPdfWriter]]:
    """Open a new file to be painted on, and write it to its end."""
    _claim(path)
    writer = QPdfWriter(str(path))
    writer.setResolution(RESOLUTION_DPI)
    size = QPageSize(QSizeF(WIDTH_MM, HEIGHT_MM), QPageSize.Unit.Millimeter, "A4")
    writer.setPageLayout(QPageLayout(size, QPageLayout.Orientation.Portrait, QMarginsF(0, 0, 0, 0)))
    writer.setTitle(title)
    writer.setCreator("buswalk")
    painter = QPainter()
    if not painter.begin(writer):
        raise CannotWrite(f"{path} cannot be written: choose another place, or make room there")
    yield painter, writer
    if not painter.end():
        raise CannotWrite(f"{path} could not be written to its end: make room there and write it again")


def write_report(path: Path, title: str, pages: Sequence[ReportPage]) -> None:
    """Write the pages of a report into a new file.

    Raises:
        CannotWrite: The file is there already, or cannot be written.
    """
    with _new_file(path, title) as (painter, writer):
        painter.scale(RESOLUTION_DPI / MM_PER_INCH, RESOLUTION_DPI / MM_PER_INCH)
        for number, page in enumerate(pages):
            if number:
                writer.newPage()
            draw_report_page(MmPainter(painter), page)


def draw_report_page(drawn: MmPainter, page: ReportPage) -> None:
    """Draw a page of a report with a painter whose unit is a millimetre."""
    drawn.painter.setPen(QPen(QColor(Qt.GlobalColor.black), CUT_PEN_MM))
    for rule in page.rules:
        drawn.painter.drawLine(QPointF(REPORT_MARGIN_MM, rule.y_mm), QPointF(WIDTH_MM - REPORT_MARGIN_MM, rule.y_mm))
    for text in page.texts:
        drawn.text(text)


def draw_pages(painter: QPainter, writer: QPdfWriter, pages: Sequence[SheetPage], tone: BodyTone) -> None:
    """Draw one page after the other."""
    painter.scale(RESOLUTION_DPI / MM_PER_INCH, RESOLUTION_DPI / MM_PER_INCH)
    for number, page in enumerate(pages):
        if number:
            writer.newPage()
        draw_page(MmPainter(painter), page, tone)


def draw_page(drawn: MmPainter, page: SheetPage, tone: BodyTone) -> None:
    """Draw a page with a painter whose unit is a millimetre."""
    drawn.text(page.heading)
    for card in page.cards:
        _draw_card(drawn, card, tone)


def _draw_card(drawn: MmPainter, card: Card, tone: BodyTone) -> None:
    pen = QPen(QColor(Qt.GlobalColor.black), CUT_PEN_MM, Qt.PenStyle.DashLine)
    drawn.painter.setPen(pen)
    drawn.painter.setBrush(Qt.BrushStyle.NoBrush)
    drawn.painter.drawRect(_rect(card.frame))
    for text in card.texts:
        drawn.text(text)
    for placed in card.pictures:
        drawn.painter.save()
        drawn.painter.translate(QPointF(placed.at.x_mm, placed.at.y_mm))
        draw_picture(drawn, placed.picture, tone)
        drawn.painter.restore()


def _claim(path: Path) -> None:
    """Make the file, so that it never takes the place of another one and a refusal is known before drawing."""
    try:
        os.close(os.open(path, os.O_CREAT | os.O_EXCL | os.O_WRONLY, 0o666))
    except FileExistsError as reason:
        raise CannotWrite(f"{path} is there already: choose another name, or delete it first") from reason
    except OSError as reason:
        why = (reason.strerror or "refused by the system").lower()
        raise CannotWrite(f"{path} cannot be written ({why}): choose another place, or make room there") from reason


def _rect(one: Rectangle) -> QRectF:
    return QRectF(one.x_mm, one.y_mm, one.width_mm, one.height_mm)

"""A printed report: everything is on the paper, and what must be on each page is."""

from __future__ import annotations

from pathlib import Path

import pytest
from PySide6.QtGui import QColor, QImage, QPainter
from pytestqt.qtbot import QtBot

from buswalk.domain.report_sheet import ReportPart, ReportSheet, ReportTable, part
from buswalk.ui.printing.mm_painter import MmPainter
from buswalk.ui.printing.page import HEIGHT_MM, WIDTH_MM
from buswalk.ui.printing.pdf import CannotWrite, draw_report_page, write_report
from buswalk.ui.printing.report_layout import MARGIN_MM, ReportPage, report_pages

SIMULATED = "SIMULATED LINE"
TABLE = ReportTable(("device", "asked", "share"), tuple((str(one), "1000", "0.72 %") for one in range(1, 41)))
LONG = ReportSheet(
    "What was not clean",
    SIMULATED,
    (
        ReportPart("Counts", ("sums agree",), TABLE),
        part("Cases", [f"    case {one}: " + "37 03 02 00 D7 " * 20 for one in range(60)]),
    ),
)
PX_PER_MM = 4


def lines_of(page: ReportPage) -> list[str]:
    return [line for text in page.texts for line in text.lines]


def test_each_page_says_that_it_is_simulated_and_which_page_it_is() -> None:
    pages = report_pages(LONG)

    assert len(pages) > 2
    for number, page in enumerate(pages, start=1):
        assert SIMULATED in lines_of(page)
        assert f"What was not clean, page {number} of {len(pages)}" in lines_of(page)


def test_a_real_record_says_nothing_of_the_kind() -> None:
    (page,) = report_pages(ReportSheet("x", "", (part("Counts", ["none"]),)))

    assert lines_of(page) == ["x", "Counts", "none", "x, page 1 of 1"]


def test_nothing_is_left_out_and_nothing_leaves_the_paper() -> None:
    pages = report_pages(LONG)

    joined = " ".join(" ".join(line for page in pages for line in lines_of(page)).split())
    assert all(f"case {one}: 37 03" in joined for one in range(60))
    assert joined.count(" D7") == 1200
    for text in (text for page in pages for text in page.texts):
        assert MARGIN_MM <= text.at.x_mm <= text.at.x_mm + text.room_mm <= WIDTH_MM - MARGIN_MM + 1e-6
        assert MARGIN_MM <= text.at.y_mm <= HEIGHT_MM - MARGIN_MM


def test_a_heading_never_stands_alone_at_the_foot() -> None:
    for count in range(30, 60):
        parts = (part("first", [str(one) for one in range(count)]), part("SECOND", ["a", "b"]))
        for page in report_pages(ReportSheet("x", "", parts)):
            lines = lines_of(page)
            assert "SECOND" not in lines or lines[lines.index("SECOND") + 1 :][:2] == ["a", "b"]


def test_a_row_has_a_cell_under_each_head() -> None:
    with pytest.raises(ValueError, match="a cell under each head"):
        ReportTable(("a", "b"), (("1",),))


def test_it_is_drawn_in_black_and_white(qtbot: QtBot) -> None:
    image = QImage(round(WIDTH_MM) * PX_PER_MM, round(HEIGHT_MM) * PX_PER_MM, QImage.Format.Format_RGB32)
    image.fill(QColor("white"))
    painter = QPainter(image)
    painter.scale(PX_PER_MM, PX_PER_MM)

    draw_report_page(MmPainter(painter), report_pages(LONG)[0])
    painter.end()

    seen = {image.pixelColor(x, y).name() for x in range(0, image.width(), 2) for y in range(0, image.height(), 2)}
    assert "#000000" in seen
    assert all(name[1:3] == name[3:5] == name[5:7] for name in seen)


def test_a_file_is_written_once(tmp_path: Path, qtbot: QtBot) -> None:
    write_report(tmp_path / "x.pdf", "x", report_pages(LONG))

    assert (tmp_path / "x.pdf").read_bytes().startswith(b"%PDF-")
    with pytest.raises(CannotWrite, match="is there already"):
        write_report(tmp_path / "x.pdf", "x", report_pages(LONG))

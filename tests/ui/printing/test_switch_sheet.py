"""Labels to cut: what stands where on the pages, and the PDF that comes of it."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from PySide6.QtGui import QImage, QPainter
from pytestqt.qtbot import QtBot

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.geometry import Align, Point, Rectangle, Text, Turn
from buswalk.domain.switches.label import Label, label_of, labels_of
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.picture import BodyTone
from buswalk.ui.printing.mm_painter import MmPainter
from buswalk.ui.printing.page import HEIGHT_MM, LEAST_FIGURE_MM, MARGIN_MM, WIDTH_MM, SheetPage
from buswalk.ui.printing.pdf import CannotWrite, draw_page, write_pdf
from buswalk.ui.printing.switch_sheet import sheet_of
from tests.fakes.switch_boards import shipped, shipped_boards

PAPER = Rectangle(MARGIN_MM, MARGIN_MM, WIDTH_MM - 2 * MARGIN_MM, HEIGHT_MM - 2 * MARGIN_MM)
BAY = PlannedDevice(2, 14, "controller, bay 2", SerialSettings.of(9600, "8N1"), "levers-7-line-end", "bay 2, door")


def every_board() -> tuple[Label, ...]:
    """One label a board, at an address that it can have."""
    return tuple(
        label_of(PlannedDevice(place, 9, f"device on {board.name}", board=board.name), board)
        for place, board in enumerate(shipped_boards(), start=1)
    )


def words(page: SheetPage) -> list[str]:
    return [line for card in page.cards for text in card.texts for line in text.lines]


def test_a_label_says_address_device_and_switches() -> None:
    page = sheet_of((label_of(BAY, shipped("levers-7-line-end")),))[0]

    assert words(page) == [
        "14",
        "controller, bay 2",
        "bay 2, door",
        "9600 8N1",
        "2, 3 and 4 ON",
        "line end off (8)",
        "levers-7-line-end, after",
        "power-up",
    ]
    picture = page.cards[0].pictures[0].picture
    assert [one.index + 1 for one in picture.levers if one.is_on] == [2, 3, 4]


@pytest.mark.parametrize("turn", Turn)
def test_cards_lie_on_the_paper_and_apart_and_hold_their_texts_and_pictures(turn: Turn) -> None:
    pages = sheet_of(every_board(), turn)

    assert sum(len(page.cards) for page in pages) == len(shipped_boards())
    for page in pages:
        for at, card in enumerate(page.cards):
            assert PAPER.holds(card.frame)
            for other in page.cards[at + 1 :]:
                assert (
                    card.frame.right_mm < other.frame.x_mm
                    or other.frame.right_mm < card.frame.x_mm
                    or card.frame.bottom_mm < other.frame.y_mm
                    or other.frame.bottom_mm < card.frame.y_mm
                )
            for placed in card.pictures:
                picture = placed.picture
                area = Rectangle(placed.at.x_mm, placed.at.y_mm, picture.width_mm, picture.height_mm)
                assert card.frame.holds(area)
            for text in card.texts:
                half = text.figure_mm / 2
                assert card.frame.holds(Rectangle(text.at.x_mm, text.at.y_mm - half, text.room_mm, 2 * half))


def test_every_figure_is_high_enough_to_be_read() -> None:
    """3.5 mm for 60 cm."""
    for page in sheet_of(every_board()):
        for card in page.cards:
            of_pictures = [text for placed in card.pictures for text in placed.picture.texts]
            for text in (*card.texts, *of_pictures):
                if any(sign.isdigit() for line in text.lines for sign in line):
                    assert text.figure_mm >= LEAST_FIGURE_MM


def test_what_has_no_picture_says_why() -> None:
    library = BoardLibrary(shipped_boards())
    devices = (
        PlannedDevice(1, 45, "probe", board="levers-4-stored-base"),
        PlannedDevice(2, 51, "meter", board="nowhere"),
        PlannedDevice(3, 60, "pump"),
    )

    labels = labels_of(devices, library)

    assert [one.pattern for one in labels] == [None, None, None]
    assert [one.remark for one in labels] == [
        "45 cannot be set on this board: the highest here is 15; nearest: 15.",
        "No board description is called 'nowhere'.",
        "The plan names no switch board.",
    ]
    assert "45 cannot be set on this board:" in words(sheet_of(labels)[0])


def test_a_device_without_a_board_has_the_usual_one() -> None:
    labels = labels_of((PlannedDevice(3, 60, "pump"),), BoardLibrary(shipped_boards()), shipped("levers-8"))

    assert labels[0].board == shipped("levers-8")
    assert labels[0].pattern == (0, 0, 1, 1, 1, 1, 0, 0)


def test_the_pdf_has_its_pages_in_the_size_of_the_paper(qtbot: QtBot, tmp_path: Path) -> None:
    """A4 is 595 x 842 points (ISO 216: 210 x 297 mm; PDF: 72 points an inch)."""
    path = tmp_path / "labels.pdf"
    pages = sheet_of(every_board())

    write_pdf(path, pages)

    data = path.read_bytes()
    boxes = re.findall(rb"/MediaBox \[([\d. ]+)\]", data)
    assert data.startswith(b"%PDF-")
    assert len(re.findall(rb"/Type /Page\b", data)) == len(pages)
    assert [round(float(one)) for one in boxes[0].split()] == [0, 0, 595, 842]


def test_a_file_that_is_there_is_not_written_over(qtbot: QtBot, tmp_path: Path) -> None:
    path = tmp_path / "labels.pdf"
    path.write_text("kept", encoding="utf-8")

    with pytest.raises(CannotWrite, match="is there already"):
        write_pdf(path, sheet_of(every_board()))
    assert path.read_text(encoding="utf-8") == "kept"


def test_a_place_that_is_not_there_is_one_sentence(qtbot: QtBot, tmp_path: Path) -> None:
    with pytest.raises(CannotWrite, match="cannot be written"):
        write_pdf(tmp_path / "none" / "labels.pdf", sheet_of(every_board()))


PX_PER_MM = 20


def ink_rows(text: Text) -> list[int]:
    """Rows of a picture of 40 x 20 mm on which a text leaves ink."""
    image = QImage(40 * PX_PER_MM, 20 * PX_PER_MM, QImage.Format.Format_Grayscale8)
    image.fill(255)
    painter = QPainter(image)
    painter.scale(PX_PER_MM, PX_PER_MM)
    MmPainter(painter).text(text)
    painter.end()
    return [y for y in range(image.height()) if any(image.pixelColor(x, y).value() < 128 for x in range(image.width()))]


def test_figures_on_paper_are_as_high_as_laid_out(qtbot: QtBot) -> None:
    """Measured in ink: the figure 1 of 3.6 mm, its middle where it was asked for."""
    rows = ink_rows(Text(("1",), Point(20.0, 10.0), 3.6))

    assert (rows[-1] - rows[0] + 1) / PX_PER_MM == pytest.approx(3.6, abs=0.15)
    assert (rows[-1] + rows[0] + 1) / 2 / PX_PER_MM == pytest.approx(10.0, abs=0.15)


def test_a_text_too_wide_for_its_room_becomes_narrower_and_stays_as_high(qtbot: QtBot) -> None:
    wide = Text(("controller of bay",), Point(0.5, 10.0), 3.6, Align.LEFT)
    room = 36.0

    free, fitted = ink_rows(wide), ink_rows(Text(wide.lines, wide.at, 3.6, Align.LEFT, room_mm=room))

    assert len(free) == pytest.approx(len(fitted), abs=2)


@pytest.mark.parametrize("tone", BodyTone)
def test_a_page_is_black_on_white_in_every_tone(qtbot: QtBot, tone: BodyTone) -> None:
    """Readable in black and white: no colour, and enough of both ends of grey."""
    image = QImage(420, 594, QImage.Format.Format_RGB32)
    image.fill(0xFFFFFFFF)
    painter = QPainter(image)
    painter.scale(2.0, 2.0)

    draw_page(MmPainter(painter), sheet_of((label_of(BAY, shipped("levers-7-line-end")),))[0], tone)
    painter.end()

    colors = [image.pixelColor(x, y) for x in range(0, 420, 2) for y in range(0, 200, 2)]
    assert all(one.red() == one.green() == one.blue() for one in colors)
    assert min(one.value() for one in colors) < 40
    assert max(one.value() for one in colors) == 255

"""`python3 tests pictures`: draws the README's pictures into app/pictures, in both palettes, without a screen.

The head of the window is the real one, fed by a stream that is played; `shapes` names every shape there is.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QColor, QImage, QPainter
from PySide6.QtWidgets import QApplication

from buswalk.domain.preferences import PaletteChoice, Preferences
from buswalk.ui.address_states import AddressState
from buswalk.ui.desktop import WindowParts, open_window
from buswalk.ui.look import Look
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.palettes import colours_of
from buswalk.ui.shapes.address_shapes import draw_address
from buswalk.ui.shapes.outcome_shapes import Drawing, draw_outcome, draw_request, draw_wire, extent_of
from buswalk.ui.sizes import CAPTION_TEXT
from buswalk.ui.sounds import Silence
from tests.fakes.plain_page import PlainPages
from tests.fakes.played_feed import PlayedFeed
from tests.fakes.styled_application import close_for_good
from tests.pictures.greenhouse_visit import begin, lose_one, lose_port, watch
from tests.pictures.registers_page import draw_registers
from tests.pictures.trend_page import draw_trend
from tests.pictures.whole_pages import SCENES as PAGE_SCENES
from tests.pictures.whole_pages import draw_page

PICTURES = Path(__file__).resolve().parents[2] / "app" / "pictures"
WIDTH, HEIGHT, HEAD_HEIGHT = 1366, 768, 110
TICKS_BETWEEN = 60
"""A sentence of before has had its five seconds."""
PALETTES = (PaletteChoice.LIGHT, PaletteChoice.DARK)


@dataclass(frozen=True, slots=True)
class Scene:
    """One moment of the window: what is played, one after the other, and how much of the window is kept."""

    name: str
    plays: tuple[Callable[[PlayedFeed], None], ...]
    shown: QRect


HEAD = QRect(0, 0, WIDTH, HEAD_HEIGHT)
SCENES = (
    Scene("strip", (begin, watch, lose_one), HEAD),
    Scene("strip-port-gone", (begin, watch, lose_port), HEAD),
)


def draw_scene(application: QApplication, scene: Scene, palette: PaletteChoice, folder: Path) -> Path:
    """Open the window, play the scene, keep the picture."""
    feed = PlayedFeed()
    preferences = Preferences(palette)
    parts = WindowParts(feed, PlainPages(), preferences, lambda _changed: "", Silence(), lambda: 0.0)
    window = open_window(application, parts)
    window.resize(WIDTH, HEIGHT)
    window.show()
    for play in scene.plays:
        for _ in range(TICKS_BETWEEN):
            window.draw_now()
        play(feed)
        window.draw_now()
        application.processEvents()
    path = folder / f"{scene.name}-{palette.value}.png"
    window.grab(scene.shown).save(str(path))
    close_for_good(window)
    return path


def draw_shapes(palette: PaletteChoice, folder: Path) -> Path:
    """Draw every outcome on a wire and every state of an address, each over its word."""
    look = Look(colours_of(palette, system_is_dark=False))
    image = QImage(1250, 320, QImage.Format.Format_RGB32)
    image.fill(QColor(look.colours.panel))
    painter = QPainter(image)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    kinds = list(OutcomeKind)
    for row, first in enumerate((0, 8)):
        wire_y = 60.0 + 110.0 * row
        draw_wire(painter, look.colours, 20, 1230, wire_y)
        for i, kind in enumerate(kinds[first : first + 8]):
            _draw_kind(painter, look, kind, QPointF(70.0 + 152.0 * i, wire_y))
    for i, state in enumerate(AddressState):
        box = QRectF(46.0 + 122.0 * i, 240.0, 36.0, 36.0)
        draw_address(painter, look, state, box, 37 if state is not AddressState.NO_DEVICE_ADDRESS else None)
        _word(painter, look, state.word.partition(":")[0], QPointF(box.center().x(), 300.0))
    painter.end()
    path = folder / f"shapes-{palette.value}.png"
    image.save(str(path))
    return path


def _draw_kind(painter: QPainter, look: Look, kind: OutcomeKind, at: QPointF) -> None:
    drawing = Drawing(look.colours, 2.0, exception_code=2)
    half = extent_of(kind).width * drawing.scale / 2.0
    stands_alone = (
        OutcomeKind.NOT_SENT,
        OutcomeKind.TO_ALL,
        OutcomeKind.FOREIGN_FRAME,
        OutcomeKind.STRAY_BYTE,
        OutcomeKind.STOPPED,
    )
    if kind not in stands_alone:
        draw_request(painter, at + QPointF(-half - 22.0, 0.0), drawing)
    if kind is OutcomeKind.STOPPED:
        painter.fillRect(QRectF(at.x() - half, at.y() - 2, 2 * half, 4), QColor(look.colours.panel))
    draw_outcome(painter, kind, at + QPointF(-half, 0.0), drawing)
    _word(painter, look, kind.word, at + QPointF(0.0, 50.0))


def _word(painter: QPainter, look: Look, words: str, middle: QPointF) -> None:
    painter.setFont(look.bold(CAPTION_TEXT))
    painter.setPen(QColor(look.colours.ink))
    box = QRectF(middle.x() - 80.0, middle.y() - 10.0, 160.0, 20.0)
    painter.drawText(box, int(Qt.AlignmentFlag.AlignCenter), words)


def draw_all(application: QApplication, folder: Path) -> list[Path]:
    """Draw every picture in both palettes."""
    folder.mkdir(parents=True, exist_ok=True)
    drawn = [draw_shapes(palette, folder) for palette in PALETTES]
    drawn += [draw_scene(application, scene, palette, folder) for scene in SCENES for palette in PALETTES]
    drawn += [draw_page(application, scene, palette, folder) for scene in PAGE_SCENES for palette in PALETTES]
    drawn += [draw_registers(application, palette, folder) for palette in PALETTES]
    drawn += [draw_trend(application, palette, folder) for palette in PALETTES]
    return drawn


def main() -> int:
    """Draw into the checkout and say what was drawn."""
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    application = QApplication(["pictures"])
    application.setStyle("Fusion")
    for path in draw_all(application, PICTURES):
        print(path.relative_to(PICTURES.parents[1]))
    return 0


if __name__ == "__main__":
    sys.exit(main())

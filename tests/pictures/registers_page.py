"""The picture of the page Registers: one controller read by its list, a value written and read back."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtWidgets import QApplication

from buswalk.domain.preferences import PaletteChoice, Preferences
from tests.fakes.registers_stage import OPEN, RegistersWindow, read, written
from tests.fakes.styled_application import close_for_good

VALVE_ROW = 4
READ_S, WRITTEN_S = 12.0, 23.0


def draw_registers(application: QApplication, palette: PaletteChoice, folder: Path) -> Path:
    """Read once, write 5 V over 4.5 V, look at 0 and 2 s, keep the picture."""
    shown = RegistersWindow(Preferences(palette))
    shown.show()
    shown.play(read(), READ_S)
    shown.page.presenter.choose_row(VALVE_ROW)
    shown.play([OPEN, *written()], WRITTEN_S)
    shown.view.write.put_back.setFocus()
    shown.settle()
    application.processEvents()
    path = folder / f"registers-{palette.value}.png"
    shown.window.grab().save(str(path))
    close_for_good(shown.window)
    return path

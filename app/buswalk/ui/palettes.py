"""The two palettes. Contrast and colour vision of every value are recomputed by the tests."""

from __future__ import annotations

from dataclasses import dataclass

from PySide6.QtGui import QColor, QPalette

from buswalk.domain.preferences import PaletteChoice


@dataclass(frozen=True, slots=True)
class Hue:
    """One kind of event that is not normal: `text` for words, `mark` for shapes, `tint` behind them."""

    text: str
    mark: str
    tint: str


@dataclass(frozen=True, slots=True)
class Colours:
    """One palette as #RRGGBB.

    Attributes:
        ground: Page behind cards.
        panel: Cards, tables, head line, strip.
        sunk: Box inside a card, group rows.
        bar: Rail, table heads, marked spans.
        hair: Dividers; never carries meaning.
        edge: Outline of controls, dots and dashes of addresses.
        ink, ink2, ink3: Values; captions and "answered"; zero counts, disabled text and "request".
        solid, onsolid: Main button, chosen segment, answered cell, and the text on it.
        select: Selected row.
        focus: Focus ring and trend cursor, nothing else.
        doubt: No reply, late, not sent, stray, in doubt, weak, caution, writing open.
        fault: Damaged, damaged echo, cut short, wrong, planned but silent, port gone.
        refuse: Exception reply.
        foreign: Frame that is not ours, another client.
    """

    ground: str
    panel: str
    sunk: str
    bar: str
    hair: str
    edge: str
    ink: str
    ink2: str
    ink3: str
    solid: str
    onsolid: str
    select: str
    focus: str
    doubt: Hue
    fault: Hue
    refuse: Hue
    foreign: Hue


LIGHT = Colours(
    ground="#E9ECEA",
    panel="#FFFFFF",
    sunk="#F3F5F4",
    bar="#DDE3E0",
    hair="#C2CBC6",
    edge="#66736C",
    ink="#101A16",
    ink2="#3B4841",
    ink3="#56635C",
    solid="#1C2823",
    onsolid="#FFFFFF",
    select="#D3E4F5",
    focus="#0061A8",
    doubt=Hue("#744400", "#B87000", "#FFF1D6"),
    fault=Hue("#9C1806", "#B01C08", "#FDE7E2"),
    refuse=Hue("#4B2A9E", "#6A3FD0", "#ECE6FB"),
    foreign=Hue("#780C5C", "#8E1070", "#FBE5F4"),
)

DARK = Colours(
    ground="#0D1311",
    panel="#171F1C",
    sunk="#121917",
    bar="#222C28",
    hair="#3B4943",
    edge="#8B9A93",
    ink="#F2F6F4",
    ink2="#C0CBC5",
    ink3="#9BA8A1",
    solid="#E4EBE7",
    onsolid="#0D1311",
    select="#1F3A52",
    focus="#5FC2FF",
    doubt=Hue("#F5BC55", "#F7BE4F", "#33270D"),
    fault=Hue("#FF957C", "#FF6F4D", "#3B1A13"),
    refuse=Hue("#C6B0FF", "#AE90FF", "#2A2150"),
    foreign=Hue("#F79ADB", "#FF8AD6", "#3C1732"),
)


def colours_of(choice: PaletteChoice, *, system_is_dark: bool) -> Colours:
    """Return the palette for a choice; `system_is_dark` counts only where the system is to decide."""
    is_dark = choice is PaletteChoice.DARK or (choice is PaletteChoice.SYSTEM and system_is_dark)
    return DARK if is_dark else LIGHT


def qt_palette(colours: Colours) -> QPalette:
    """Return Qt's palette with every role of every group set, so that nothing comes from the system."""
    palette = QPalette()
    role = QPalette.ColorRole
    usual = {
        role.WindowText: colours.ink,
        role.Button: colours.panel,
        role.Light: colours.panel,
        role.Midlight: colours.sunk,
        role.Dark: colours.edge,
        role.Mid: colours.hair,
        role.Text: colours.ink,
        role.BrightText: colours.fault.text,
        role.ButtonText: colours.ink,
        role.Base: colours.panel,
        role.Window: colours.ground,
        role.Shadow: colours.hair,
        role.Highlight: colours.select,
        role.HighlightedText: colours.ink,
        role.Link: colours.ink,
        role.LinkVisited: colours.ink2,
        role.AlternateBase: colours.sunk,
        role.ToolTipBase: colours.panel,
        role.ToolTipText: colours.ink,
        role.PlaceholderText: colours.ink3,
        role.Accent: colours.solid,
    }
    words = (role.WindowText, role.Text, role.ButtonText, role.HighlightedText, role.Link, role.LinkVisited)
    for group in (QPalette.ColorGroup.Active, QPalette.ColorGroup.Inactive, QPalette.ColorGroup.Disabled):
        for one, value in usual.items():
            is_grey = group is QPalette.ColorGroup.Disabled and one in words
            palette.setColor(group, one, QColor(colours.ink3 if is_grey else value))
    return palette

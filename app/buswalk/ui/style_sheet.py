"""What Qt draws itself (scroll bars, table heads, tool tips, lists) in our colours; everything else is drawn by us."""

from __future__ import annotations

from buswalk.ui.look import Look
from buswalk.ui.sizes import CAPTION_TEXT, TEXT


def style_sheet(look: Look) -> str:
    """Return the window's style sheet for one look."""
    colours = look.colours
    bar = look.px(12)
    return f"""
QToolTip {{ background: {colours.panel}; color: {colours.ink}; border: 1px solid {colours.edge};
  padding: {look.px(4)}px; font-size: {look.px(TEXT)}px; }}
QHeaderView {{ background: {colours.bar}; border: none; }}
QHeaderView::section {{ background: {colours.bar}; color: {colours.ink2}; border: none;
  border-bottom: 1px solid {colours.edge}; padding: 0 {look.px(8)}px; font-size: {look.px(CAPTION_TEXT)}px; }}
QTableView {{ background: {colours.panel}; color: {colours.ink}; border: none; }}
QScrollArea {{ background: transparent; border: none; }}
QScrollBar:vertical {{ background: {colours.sunk}; width: {bar}px; margin: 0; }}
QScrollBar::handle:vertical {{ background: {colours.edge}; min-height: {look.px(32)}px; margin: 1px;
  border-radius: {look.px(4)}px; }}
QScrollBar:horizontal {{ background: {colours.sunk}; height: {bar}px; margin: 0; }}
QScrollBar::handle:horizontal {{ background: {colours.edge}; min-width: {look.px(32)}px; margin: 1px;
  border-radius: {look.px(4)}px; }}
QScrollBar::add-line, QScrollBar::sub-line {{ width: 0; height: 0; }}
QScrollBar::add-page, QScrollBar::sub-page {{ background: transparent; }}
QComboBox QAbstractItemView {{ background: {colours.panel}; color: {colours.ink};
  selection-background-color: {colours.select}; selection-color: {colours.ink}; border: 1px solid {colours.edge};
  font-size: {look.px(TEXT)}px; }}
"""

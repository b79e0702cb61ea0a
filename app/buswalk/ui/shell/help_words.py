"""What F1 shows of keys that work on every page. Plain Python."""

from __future__ import annotations

from buswalk.ui.pages.page import KeyHelp

KEYS_EVERYWHERE = (
    KeyHelp("Ctrl+1 to 9, 0", "the page of that digit"),
    KeyHelp("F5", "main action of the page"),
    KeyHelp("Esc", "close what is open, else stop the job"),
    KeyHelp("F6, Shift+F6", "next, previous pane"),
    KeyHelp("Ctrl+O", "open or change the port"),
    KeyHelp("Ctrl+M", "mark this moment, then its words"),
    KeyHelp("Ctrl+plus, Ctrl+minus", "text size"),
    KeyHelp("F11, Ctrl+Q", "full screen, leave"),
    KeyHelp("F1", "this help"),
)
STRIP_KEYS = (
    KeyHelp("Left, Right", "walk along the live strip"),
    KeyHelp("Space", "hold the strip's picture; the job goes on"),
)

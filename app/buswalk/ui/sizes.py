"""Type scale, spacing and targets in logical px at 100 %, and the text size that multiplies them all."""

from __future__ import annotations

from buswalk.domain.preferences import TextSize as TextSize

ADDRESS_CELL_TEXT = 10
STRIP_LABEL_TEXT = 11
CAPTION_TEXT = 12
TEXT = 13
VALUE_TEXT = 14
"""Table values and the head line."""
KEY_VALUE_TEXT = 15
ENTRY_TEXT = 17
PAGE_NAME_TEXT = 19
RESULT_TEXT = 24

SPACE_XS, SPACE_S, SPACE_M, SPACE_L = 4, 8, 12, 16
PAGE_MARGIN_SIDE, PAGE_MARGIN_TOP, PAGE_MARGIN_BOTTOM = 16, 8, 10
CARD_GAP = 10
RADIUS = 4

ROW = 32
ROW_OF_LONG_TABLE = 31
ROW_FOUND = 29
ROW_DENSE = 28
ROW_LOW = 26
ROW_OUTCOME = 24
TABLE_HEAD = 28

MAIN_BUTTON = 40
BUTTON = 34
SMALL_BUTTON = 28
ENTRY = 32
ADDRESS_ENTRY = 40
LEAST_TARGET = 24

FOCUS_RING = 3
FOCUS_GAP = 2
PAGE_TOP = 42

NARROW_BELOW = 1280
"""Window width (at 100 %) under which head line and rail take their narrow form and pages become one column."""
RAIL_NOTES_FROM = 1340
LOW_BELOW = 740
"""Window height under which the strip is 40 high."""
WIDE_FROM = 1500

CAP_HEIGHT_3_M = 66
CAP_HEIGHT_2_M = 44
"""Readable from three and two metres: 20 minutes of arc at 96 dpi, as height of capitals, not as size of the face."""

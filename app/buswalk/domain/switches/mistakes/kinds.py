"""The kinds of mistakes, and how often each is met among devices that answer at a wrong address.

The shares are our judgement: common practice, no source.
"""

from __future__ import annotations

from enum import Enum


class MistakeKind(Enum):
    """A kind; its value is its name in output for machines."""

    READ_FROM_OTHER_END = "read_from_other_end"
    ON_TAKEN_AS_OFF = "on_taken_as_off"
    UPSIDE_DOWN = "upside_down"
    NEIGHBOURS_SWAPPED = "neighbours_swapped"
    LEVERS_SHIFTED = "levers_shifted"
    LEVER_NOT_SEATED = "lever_not_seated"
    DECIMAL_SET_ON_HEX = "decimal_set_on_hex"
    HEX_READ_AS_DECIMAL = "hex_read_as_decimal"
    DIGITS_SWAPPED = "digits_swapped"
    DIAL_ONE_STEP_OFF = "dial_one_step_off"
    OFFSET_FORGOTTEN = "offset_forgotten"
    BOARD_ADDS_ONE = "board_adds_one"
    BOARD_ADDS_NOTHING = "board_adds_nothing"
    OTHER_BOARD = "other_board"
    STORED_BASE_DIFFERS = "stored_base_differs"
    CHANGE_NOT_TAKEN = "change_not_taken"
    FACTORY_ADDRESS = "factory_address"


class Stage(Enum):
    """When a mistake is made; two together are applied in this order."""

    NUMBER = 1
    """The number that was to be set was another one."""
    READING = 2
    """The levers were taken for others, or for their opposite."""
    HAND = 3
    """A lever or dial is not where it was meant to be."""
    BOARD = 4
    """The board counts otherwise than described."""
    AFTERWARDS = 5
    """The switches are not obeyed, whatever they say."""


COMMON = {
    MistakeKind.READ_FROM_OTHER_END: 0.24,
    MistakeKind.ON_TAKEN_AS_OFF: 0.12,
    MistakeKind.UPSIDE_DOWN: 0.08,
    MistakeKind.NEIGHBOURS_SWAPPED: 0.08,
    MistakeKind.LEVERS_SHIFTED: 0.08,
    MistakeKind.LEVER_NOT_SEATED: 0.16,
    MistakeKind.DECIMAL_SET_ON_HEX: 0.20,
    MistakeKind.HEX_READ_AS_DECIMAL: 0.06,
    MistakeKind.DIGITS_SWAPPED: 0.16,
    MistakeKind.DIAL_ONE_STEP_OFF: 0.16,
    MistakeKind.OFFSET_FORGOTTEN: 0.16,
    MistakeKind.BOARD_ADDS_ONE: 0.12,
    MistakeKind.BOARD_ADDS_NOTHING: 0.06,
    MistakeKind.OTHER_BOARD: 0.06,
    MistakeKind.STORED_BASE_DIFFERS: 0.01,
    MistakeKind.CHANGE_NOT_TAKEN: 0.20,
    MistakeKind.FACTORY_ADDRESS: 0.08,
}
"""Share of each kind, all its instances together; kinds that a board cannot have are left out, so they need no sum."""
ANYTHING_FITS = 0.01
"""Share of a mistake that would explain every address, such as an unknown base: it fits, and proves nothing."""
ADDED_TO_DIALS = 0.5
"""Factor for a board that adds one to its dials: it would contradict the digits that are printed at them."""
BY_HAND = 0.45
"""Part of 'from the other end' and 'ON for OFF' that is in the setting; the rest is in the board."""
WITHOUT_HEX_DIALS = 0.1
"""Factor for mixing up hex and decimal where no dial invites it."""

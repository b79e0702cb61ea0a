"""Everything the page Switches shows, finished."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.domain.switches.geometry import Turn
from buswalk.domain.switches.picture import BodyTone, Picture
from buswalk.ui.pages.switches.describe_state import DescribeState, FactChoice
from buswalk.ui.pages.switches.label_sheet import SheetState
from buswalk.ui.tones import Tone


class ControlsKind(Enum):
    """What a board has: the segments of the page."""

    LEVERS = "Levers"
    HEX_DIALS = "Hex dials"
    DECIMAL_DIALS = "Decimal dials"
    MIXED = "Levers and dials"


@dataclass(frozen=True, slots=True)
class BoardChoice:
    """One board in the list; `words` are its title, `is_own` is true for the user's."""

    name: str
    words: str
    is_own: bool


@dataclass(frozen=True, slots=True)
class ControlState:
    """One lever or dial for keyboard and readers.

    Attributes:
        index: Of the control.
        positions: How many it has.
        spoken: 'Lever 3, ON, counts 4', 'Lever 8, OFF, line end'.
    """

    index: int
    label: str
    position: int
    positions: int
    spoken: str
    is_for_address: bool


@dataclass(frozen=True, slots=True)
class BlockState:
    """The block as it sits before the eye, and what it says.

    Attributes:
        sum_words: Written out: 2 + 4 + 8 = 14, board adds 0, address 14.
        moves: What to move from the present position: flip 2 and 5; empty where that is not told.
        on_caption, on_words: 'Levers ON' and '2, 3, 4', or 'Dials show' and '1 and 4'.
        others: What the other levers say.
        trouble: Why this is no address, or why the typed one cannot be; empty if all is well.
        nearest: Addresses that can be had instead, as buttons.
    """

    picture: Picture
    controls: tuple[ControlState, ...]
    sum_words: str
    sum_tone: Tone
    moves: str
    decimal: str
    hexadecimal: str
    binary: str
    on_caption: str
    on_words: str
    others: tuple[str, ...]
    trouble: str
    nearest: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class MistakeState:
    """One explanation.

    Attributes:
        picture: What is set, if this is so, with what is to be moved marked.
        share, likelihood: '86 %' and 'likely'.
    """

    number: str
    picture: Picture
    headline: str
    words: str
    share: str
    likelihood: str
    spoken: str


@dataclass(frozen=True, slots=True)
class InsteadState:
    """What to set instead, for the chosen explanation; `picture` is None where nothing is to be set."""

    title: str
    picture: Picture | None
    words: str
    ask_words: str


@dataclass(frozen=True, slots=True)
class ExplainedState:
    """Found at another address than intended.

    Attributes:
        counted: How many mistakes lead there; or why nothing can be said yet.
        look: That several explain it equally and which look decides; empty if one is ahead.
        hidden: How many more there are; empty if none.
    """

    intended: str
    found: str
    previous: str
    counted: str
    counted_tone: Tone
    look: str
    mistakes: tuple[MistakeState, ...]
    chosen: int
    hidden: str
    instead: InsteadState | None


@dataclass(frozen=True, slots=True)
class SwitchesState:
    """The page.

    Attributes:
        board_problems: Of board files that could not be read.
        keys: The keys of the block, in one line.
        device_words: On the button back to the device; empty if there is none.
        sheet_words: On the button for labels of the whole plan; empty if nothing is planned.
        told: What the last act came to.
        sheet: The sheet of labels in place of all else; None while it is away.
        described: The card on which the board is described; None while it is away.
    """

    sentence: str
    kinds: tuple[ControlsKind, ...]
    kind: ControlsKind
    boards: tuple[BoardChoice, ...]
    board: int
    about: str
    facts: tuple[FactChoice, ...]
    takes_effect: str
    is_changed: bool
    turn: Turn
    tone: BodyTone
    keys: str
    block: BlockState
    explained: ExplainedState
    device_words: str
    board_problems: tuple[str, ...]
    sheet_words: str
    told: str
    described: DescribeState | None
    sheet: SheetState | None

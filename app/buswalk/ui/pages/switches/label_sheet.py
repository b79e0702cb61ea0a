"""Decides what is shown of the sheet of labels before it is printed: the very pages that come out. Plain Python."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.board import Board
from buswalk.domain.switches.geometry import Rectangle, Turn
from buswalk.domain.switches.label import Label, labels_of
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.picture import BodyTone
from buswalk.domain.switches.wording import listed
from buswalk.ui.printing.page import SheetPage
from buswalk.ui.printing.switch_sheet import sheet_of
from buswalk.ui.wording import plural

MOST_NAMED = 6


@dataclass(frozen=True, slots=True)
class SheetState:
    """The sheet on screen.

    Attributes:
        page: The page that is shown, as it is printed.
        at, pages: Which one it is, from 0, and of how many.
        spoken: What each of its labels says, in one line; `boxes` are their places in mm.
        said: What to know before it is printed, and what came of printing.
    """

    sentence: str
    page: SheetPage
    at: int
    pages: int
    tone: BodyTone
    spoken: tuple[str, ...]
    boxes: tuple[Rectangle, ...]
    said: str


@dataclass(frozen=True, slots=True)
class SheetWanted:
    """What the sheet is of.

    Attributes:
        borrowed: Addresses of labels whose board is not told, and which are drawn on the one that was chosen.
        usual: Name of that board.
    """

    labels: tuple[Label, ...]
    turn: Turn
    tone: BodyTone
    borrowed: tuple[int, ...] = ()
    usual: str = ""


def labels_wanted(
    planned: Sequence[PlannedDevice], library: BoardLibrary, usual: Board, turn: Turn, tone: BodyTone
) -> SheetWanted:
    """Return the labels of a plan; devices whose board is not told are drawn on the usual one."""
    borrowed = tuple(one.server_address for one in planned if not one.board)
    return SheetWanted(labels_of(planned, library, usual), turn, tone, borrowed, usual.name)


class LabelSheet:
    """Which page is shown, and how it is printed."""

    def __init__(
        self, print_labels: Callable[[Sequence[Label], Turn, BodyTone], str], changed: Callable[[], None]
    ) -> None:
        self._print_labels = print_labels
        self._changed = changed
        self._wanted: SheetWanted | None = None
        self._pages: tuple[SheetPage, ...] = ()
        self._at = 0
        self._told = ""

    @property
    def is_open(self) -> bool:
        """Whether it is shown."""
        return self._wanted is not None

    def open(self, wanted: SheetWanted) -> None:
        """Show its first page."""
        self._wanted, self._pages = wanted, sheet_of(wanted.labels, wanted.turn)
        self._at, self._told = 0, ""
        self._changed()

    def renew(self, wanted: SheetWanted) -> None:
        """Show what has become of the plan meanwhile, at the page that is looked at; nothing where it is empty."""
        at = self._at
        if not wanted.labels:
            self.close()
            return
        self.open(wanted)
        self.go_to(at)

    def close(self) -> None:
        """Put it away."""
        self._wanted = None
        self._changed()

    def go_to(self, at: int) -> None:
        """Show another page; the nearest one there is."""
        self._at = min(max(at, 0), len(self._pages) - 1)
        self._changed()

    def step(self, step: int) -> None:
        """Show a page before or after, if there is one."""
        self.go_to(self._at + step)

    def print(self) -> None:
        """Print all pages, as they are shown."""
        if self._wanted is not None:
            told = self._print_labels(self._wanted.labels, self._wanted.turn, self._wanted.tone)
            self._told = f"{told[:1].upper()}{told[1:].removesuffix('.')}." if told else ""
            self._changed()

    @property
    def state(self) -> SheetState | None:
        """All that is shown; None while it is away."""
        if self._wanted is None:
            return None
        wanted, page = self._wanted, self._pages[self._at]
        return SheetState(
            sentence=(
                f"{plural(len(wanted.labels), 'label')} on {plural(len(self._pages), 'page')} of A4; "
                f"page {self._at + 1} is shown."
            ),
            page=page,
            at=self._at,
            pages=len(self._pages),
            tone=wanted.tone,
            spoken=tuple(", ".join(line for text in card.texts for line in text.lines) for card in page.cards),
            boxes=tuple(card.frame for card in page.cards),
            said=" ".join(one for one in (self._told, _borrowed_words(wanted), _missing_words(wanted)) if one),
        )


def _borrowed_words(wanted: SheetWanted) -> str:
    if not wanted.borrowed:
        return ""
    who = _addresses(wanted.borrowed)
    are = "it is" if len(wanted.borrowed) == 1 else "they are"
    return f"The plan names no board for {who}: {are} drawn on {wanted.usual}, the one chosen here."


def _missing_words(wanted: SheetWanted) -> str:
    missing = tuple(one.server_address for one in wanted.labels if one.pattern is None)
    return f"Without a picture: {_addresses(missing)}; the label says why." if missing else ""


def _addresses(addresses: tuple[int, ...]) -> str:
    named = [str(one) for one in addresses[:MOST_NAMED]]
    more = len(addresses) - len(named)
    return listed([*named, f"{more} more"] if more else named)

"""By what the shell knows a page: the protocol `Page` and the small values that go with it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from typing import TYPE_CHECKING, Protocol, runtime_checkable

from buswalk.bus.messages import StreamItem
from buswalk.ui.outcome_kinds import OutcomeKind

if TYPE_CHECKING:
    # Presenters import this file, and presenters know no Qt.
    from PySide6.QtWidgets import QWidget

    from buswalk.ui.look import Look


PORT_CHOICE = "port_choice"
"""Object name of the widget that gets the focus on Ctrl+O; the Line page has it."""


class PageName(Enum):
    """Every page that is planned, with its fixed digit; a page not built is simply not handed to the shell."""

    LINE = ("Line", 1)
    FIND = ("Find", 2)
    SWITCHES = ("Switches", 3)
    REGISTERS = ("Registers", 4)
    TREND = ("Trend", 5)
    FAULTS = ("Faults", 6)
    SOAK = ("Soak", 7)
    PLAN = ("Plan", 8)
    CHECKOUT = ("Checkout", 9)
    HANDOVER = ("Handover", 0)

    @property
    def word(self) -> str:
        """As the rail shows it."""
        return self.value[0]

    @property
    def digit(self) -> int:
        """Pressed with Ctrl."""
        return self.value[1]

    @property
    def is_proving(self) -> bool:
        """True for pages behind the gap in the rail: finding out comes before proving."""
        return self in (PageName.SOAK, PageName.PLAN, PageName.CHECKOUT, PageName.HANDOVER)


@dataclass(frozen=True, slots=True)
class RailNote:
    """A few words under the name in the rail, such as `8 of 11`; `shape` stands before words of trouble."""

    words: str = ""
    shape: OutcomeKind | None = None


@dataclass(frozen=True, slots=True)
class KeyHelp:
    """One line of the help on F1: keys as people write them (Ctrl+G), and what they do here."""

    keys: str
    does: str


@dataclass(frozen=True, slots=True)
class PageHelp:
    """What F1 shows: what the page is for in one or two sentences, and the keys that work on it."""

    purpose: str
    keys: tuple[KeyHelp, ...]


class Narrow(Enum):
    """How much room a page has; the shell makes a new view when it changes."""

    NO = "no"
    YES = "yes"
    """Under 1280 x 690 at 100 %: one column that scrolls down, never sideways."""


class PageView(Protocol):
    """A QWidget that draws one page. It holds no state of its own that a new view would miss."""

    def widget(self) -> QWidget:
        """The widget, page top included; itself in most cases."""

    def refresh(self) -> None:
        """Draw the presenter's state if it has changed: called at most 10 times a second, only while shown."""

    def panes(self) -> Sequence[QWidget]:
        """Where F6 stops inside the page, in order: the widget that takes the focus in each pane."""

    def first_focus(self) -> QWidget:
        """What has the focus when the page is opened: its main button in most cases."""


class Page(Protocol):
    """One page: a presenter that goes on whether shown or not, and a maker of views.

    The shell hands `take` every item of the stream in order, `tick` ten times a second, F5 to `main_action`, keys that
    it does not know to the view by Qt's own ways. A new look (palette, text size) makes a new view. Refused commands
    and failing means are said by the shell, in the band of the view's PageTop.
    """

    @property
    def name(self) -> PageName:
        """Which page it is."""

    @property
    def note(self) -> RailNote:
        """Words for the rail; empty words for none."""

    @property
    def help(self) -> PageHelp:
        """What F1 shows."""

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""

    def main_action(self) -> None:
        """F5: start, pause, go on, read."""

    def view(self, look: Look, narrow: Narrow) -> PageView:
        """Make a view of this page."""


@runtime_checkable
class ChoosesPort(Protocol):
    """The page on which ports are chosen offers this too."""

    def choose_port(self) -> None:
        """Show the ports there are."""


@runtime_checkable
class ShowsExchanges(Protocol):
    """The page on which single exchanges are explained offers this too."""

    def walk_abnormal(self, step: int) -> None:
        """Show the next exchange that was not clean, or with -1 the previous one."""

    def show_exchange(self, number: int) -> None:
        """Show one exchange of the record that is being written."""


@dataclass(frozen=True, slots=True)
class ShellActions:
    """What a page can ask of the shell.

    Attributes:
        go_to: Show another page.
        choose_port: Open what Ctrl+O opens.
        mark: Mark this moment and ask for its words, as Ctrl+M does.
        left_alone: Say on every page, in a headline and words, who is asked by nobody any more; '' for nobody.
    """

    go_to: Callable[[PageName], None]
    choose_port: Callable[[], None]
    mark: Callable[[], None]
    left_alone: Callable[[str, str], None] = lambda _headline, _words: None

"""What the view Search is handed of others: the port, files, the record, other pages, switches."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field

from buswalk.ui.pages.find.exchange_shelf import OlderExchanges
from buswalk.ui.pages.find.explained_stranger import ExplainedStranger
from buswalk.ui.pages.find.search_board import MistakenOf, no_mistakes
from buswalk.ui.timer_desk import TimerDesk, no_timers

SaveCsv = Callable[[str, str], str]


@dataclass(frozen=True, slots=True)
class SearchOutlets:
    """What the view needs of others.

    Attributes:
        choose_port: Opens what Ctrl+O opens.
        save_csv: Given a name to suggest and the text; returns what to say of it, '' where the user chose no file.
        ping: Shows the ping of an address.
        older: Reads the record; None where there is none.
        show_switches: Shows the switches of the device at an address.
        explained: Which stranger the switches of a silent planned device explain.
        show_move: Shows the guided job that moves the device at an address.
        mistaken: Where mistakes at their switches would put planned devices.
        timers: Who falls back when nobody asks.
    """

    choose_port: Callable[[], None]
    save_csv: SaveCsv
    ping: Callable[[int], None]
    older: OlderExchanges | None = None
    show_switches: Callable[[int], None] = lambda _address: None
    explained: Callable[[], ExplainedStranger | None] = lambda: None
    mistaken: MistakenOf = no_mistakes
    timers: TimerDesk = field(default_factory=no_timers)
    show_move: Callable[[int], None] = lambda _address: None

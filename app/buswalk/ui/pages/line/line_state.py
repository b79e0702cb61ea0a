"""Everything the page Line shows, finished."""

from __future__ import annotations

from dataclasses import dataclass

from buswalk.ui.pages.line.adapter_words import AdapterState
from buswalk.ui.pages.line.cable_state import CableState
from buswalk.ui.pages.line.demo_record import DemoRecordState
from buswalk.ui.pages.line.hands import HandsState
from buswalk.ui.pages.line.heard_words import HeardState
from buswalk.ui.pages.line.port_desk import PortsState
from buswalk.ui.table_cells import Row
from buswalk.ui.tones import Tone


@dataclass(frozen=True, slots=True)
class ButtonState:
    """A button of the page top; `refused` says why it cannot be pressed."""

    words: str
    key: str = ""
    refused: str = ""


@dataclass(frozen=True, slots=True)
class OutcomesState:
    """The outcome table."""

    head: str
    rows: tuple[Row, ...]


@dataclass(frozen=True, slots=True)
class LineState:
    """The page.

    Attributes:
        main: F5.
        port: The other button: open a port, close it, or leave the pane of ports.
        ports: Where ports are chosen; None while it is closed.
        hands: On simulated lines.
    """

    sentence: str
    tone: Tone
    main: ButtonState
    is_main_solid: bool
    port: ButtonState
    ports: PortsState | None
    cable: CableState
    outcomes: OutcomesState
    adapter: AdapterState | None
    heard: HeardState
    hands: HandsState | None
    demo_record: DemoRecordState

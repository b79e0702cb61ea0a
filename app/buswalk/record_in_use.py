"""The record that is being written, read by the window: what it was too slow for, and older exchanges."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Protocol

from buswalk.bus.messages import Batch, Kept, RecordTold, Skipped
from buswalk.bus.queries import Calculation, Query, ReadEvents, ReadLastExchanges
from buswalk.domain.line_events import ExchangeDone, StrayArrival
from buswalk.domain.listening.events import Heard
from buswalk.domain.record_reader import LARGEST_PAGE, ExchangePage, RecordedEvent, RecordedExchange
from buswalk.ui.pages.find.exchange_shelf import OlderRead, OlderWanted

NO_RECORD = "nothing is recorded, so older exchanges cannot be read"
NOT_READ_BACK = ExchangeDone | StrayArrival | Heard
"""Traffic that the window was too slow for: strip and counts do not run backwards, details read the record anyway."""


class Analyses(Protocol):
    """Asks records and works things out elsewhere, as the analysis link does."""

    def ask(self, path: str, query: Query, take: Callable[[object], None], refused: Callable[[str], None]) -> None:
        """Hand the answer to `take`, or one sentence to `refused`, at once or later."""

    def calculate(
        self, calculation: Calculation, take: Callable[[object], None], refused: Callable[[str], None]
    ) -> None:
        """Work something out, and hand the result over likewise."""


class RecordInUse:
    """Knows which record is being written, and reads it for the pages."""

    def __init__(self, analysis: Analyses) -> None:
        self._analysis = analysis
        self._path = ""

    def take(self, batch: Batch) -> None:
        """Look at a batch for the record in use."""
        for item in batch.items:
            if isinstance(item, RecordTold):
                self._path = item.state.path

    def read_back(self, batch: Batch, offer: Callable[[Batch], None]) -> None:
        """Read out of the record what a slow window was not sent, so that no finding is missed."""
        for item in batch.items:
            if isinstance(item, Skipped) and self._path and item.from_row:
                query = ReadEvents(item.from_row, min(item.count, LARGEST_PAGE))
                take = partial(_offer_events, replace(batch, items=()), offer)
                self._analysis.ask(self._path, query, take, lambda _sentence: None)

    def older(self, wanted: OlderWanted, take: Callable[[OlderRead], None]) -> None:
        """Read older exchanges of one server out of the record."""
        if not self._path:
            take(OlderRead((), NO_RECORD))
            return
        page = ExchangePage(
            limit=wanted.at_most, server_address=wanted.server_address, before_number=wanted.before_number
        )

        def answered(value: object) -> None:
            rows = value if isinstance(value, tuple) else ()
            take(OlderRead(tuple(one.exchange for one in rows if isinstance(one, RecordedExchange))))

        query = ReadLastExchanges(page)
        self._analysis.ask(self._path, query, answered, lambda sentence: take(OlderRead((), sentence)))


def _offer_events(batch: Batch, offer: Callable[[Batch], None], value: object) -> None:
    events = [one for one in value if isinstance(one, RecordedEvent)] if isinstance(value, tuple) else []
    kept = tuple(Kept(one.row, one.event, one.at_s) for one in events if not isinstance(one.event, NOT_READ_BACK))
    if kept:
        offer(replace(batch, items=kept))

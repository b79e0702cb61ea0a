"""A Line presenter with everything it talks to, for the tests beside it."""

from __future__ import annotations

from buswalk.bus.messages import StreamItem
from buswalk.ui.pages.line.presenter import LinePresenter, LineWays
from tests.fakes.sent_commands import SentCommands


class Bench:
    """A presenter with everything it talks to."""

    def __init__(self, *items: StreamItem) -> None:
        self.commands = SentCommands()
        self.searches = 0
        self.plans = 0
        self.page = LinePresenter(self.commands, LineWays(self._search, self._plan))
        self.take(*items)

    def _search(self) -> None:
        self.searches += 1

    def _plan(self) -> None:
        self.plans += 1

    def take(self, *items: StreamItem) -> None:
        """Hand the presenter a piece of the stream."""
        for item in items:
            self.page.take(item)

    def told(self, caption: str) -> tuple[str, str]:
        """Return value and note of a fact about the adapter."""
        adapter = self.page.state.adapter
        assert adapter is not None
        return next((one.value, one.note) for one in adapter.told if one.caption == caption)

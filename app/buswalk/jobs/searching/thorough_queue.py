"""What a thorough search still has to ask, in its order, with the wait of each pass and what it costs."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.search.events import PassBegan, SearchForecast, SearchPlan, SearchProgress
from buswalk.domain.search.forecast import forecast_of
from buswalk.domain.search.thorough import Pass, ThoroughScope, Turn
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.searching.ledger import Ledger
from buswalk.jobs.searching.probe_queue import FORECAST_EVERY, PROGRESS_EVERY, Due

SHORTEST_WAIT_S = 0.010


class ThoroughQueue:
    """The turns of one search; what was asked in a pass is not asked in it again."""

    def __init__(self, asker: Asker, plan: SearchPlan, ledger: Ledger) -> None:
        self._asker = asker
        self._plan = plan
        self._ledger = ledger
        self._latency_s = asker.traits.latency_s
        self._settings: dict[SerialSettings, float] = {}
        self._scope = self._scope_at(plan.settings)
        self._turns: deque[Turn] = deque()
        self._asked = self._planned = 0
        self._left_s = 0.0
        self._began: PassBegan | None = None
        self._now: PassBegan | None = None

    def put_in_order(self, settings: dict[SerialSettings, float]) -> None:
        """Lay out what is left; the order changes only where other settings are asked."""
        if settings == self._settings:
            return
        self._settings = dict(settings)
        self._scope = self._scope_at(settings)
        all_turns = list(self._scope.turns())
        held = self._held_before()
        self._turns = deque(
            one
            for one in all_turns
            if (one.probe, one.of_pass) not in self._ledger.passed
            and not (one.of_pass is Pass.HOLD and one.probe.settings.baud_rate in held)
        )
        self._planned = len(all_turns)
        self._left_s = sum(one.cost_s(self._latency_s) for one in self._turns)

    def _scope_at(self, settings: dict[SerialSettings, float]) -> ThoroughScope:
        plan = self._plan
        return ThoroughScope(plan.addresses, tuple(settings.items()), plan.planned, self._latency_s, plan.mistaken)

    def next(self) -> Due | None:
        """Return the next request that can still tell something, or None."""
        while self._turns:
            turn = self._turns.popleft()
            self._left_s -= turn.cost_s(self._latency_s)
            if not self._ledger.is_settled(turn.probe):
                self._asked += 1
                self._ledger.passes(turn.probe, turn.of_pass)
                self._now = PassBegan(turn.probe.settings.baud_rate, turn.of_pass)
                return Due(turn.probe, self._timing(turn))
        return None

    def standing(self, settings: SerialSettings) -> Iterator[PassBegan | SearchProgress | SearchForecast]:
        """Yield progress and forecast every so many requests, and which pass has begun."""
        if self._now is not None and self._now != self._began:
            self._began = self._now
            yield self._now
        if self._asked % PROGRESS_EVERY == 0:
            asked = self._planned - len(self._turns)
            yield SearchProgress(asked, self._planned, settings, max(0.0, self._left_s))
        if self._asked % FORECAST_EVERY == 0:
            yield self.forecast()

    def forecast(self) -> SearchForecast:
        """Return when something is likely to be found, if nothing answers before."""
        forecast = forecast_of(self._scope.steps(self._turns))
        asked = self._planned - len(self._turns)
        return SearchForecast(asked, forecast.half_s, forecast.most_s, forecast.nearly_all_s, forecast.whole_s)

    def _timing(self, turn: Turn) -> AskTiming:
        """Keep the cycle for which the passes are laid out, also when the port turns out to be quicker than assumed."""
        wait_s = turn.wait_s + self._latency_s - self._asker.traits.latency_s
        return AskTiming(max(SHORTEST_WAIT_S, wait_s), minimum_gap_s=turn.gap_s)

    def _held_before(self) -> set[int]:
        """Return the speeds that were held for long enough already: something was asked behind the hold."""
        return {
            probe.settings.baud_rate
            for probe, of_pass in self._ledger.passed
            if of_pass is not Pass.FIRST or probe.settings.parity is not Parity.NONE
        }

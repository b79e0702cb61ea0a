"""A search where somebody else asks too: between the cycles of a client that is known, or held when one comes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import TypeAlias

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import (
    AmongOthers,
    CycleLeavesNoRoom,
    GoesBetween,
    LivingLine,
    SearchEnd,
    SearchEvent,
    SearchPlan,
    Verdict,
)
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.between_cycles import LATE_ALLOWED_S, BetweenCycles
from buswalk.jobs.searching.client_learning import learn_client
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.gave_way import NewcomerHeard, SufferingHeard
from buswalk.jobs.searching.newcomer import Newcomer
from buswalk.jobs.searching.search_words import newcomer_words, no_room_words, suffers_words

PROBE_BYTES, REPLY_BYTES = 8, 7
Settings: TypeAlias = dict[SerialSettings, float]
AsksAll: TypeAlias = Callable[[Settings], Iterator[SearchEvent]]
Ends: TypeAlias = Callable[[SearchEnd, str], SearchEvent]


@dataclass(frozen=True, slots=True)
class SharedLine:
    """A line on which others may ask too."""

    asker: Asker
    evidence: Evidence
    plan: SearchPlan

    def ask_alone(self, settings: Settings, asks_all: AsksAll, ends: Ends) -> Iterator[SearchEvent]:
        """Ask where nobody else was heard; as soon as somebody is, held, or between its cycles if that is allowed."""
        with self.asker.with_manners(Newcomer(self.asker)):
            try:
                yield from asks_all(settings)
                return
            except NewcomerHeard:
                pass
        if self.plan.may_probe_living_line:
            yield from self.ask_among_others(settings, asks_all, ends)
        else:
            yield LivingLine(Verdict.TRAFFIC, newcomer_words())
            yield ends(SearchEnd.LIVING_LINE, newcomer_words())

    def ask_among_others(self, settings: Settings, asks_all: AsksAll, ends: Ends) -> Iterator[SearchEvent]:
        """Ask between the cycles of the client that was heard; where it is not understood, when the line is quiet."""
        is_taken_over = self.plan.among_others is AmongOthers.TAKES_OVER
        cycle = None if is_taken_over else learn_client(self.asker, self.asker.settings)
        if cycle is None:
            yield from asks_all(settings)
            return
        needed_s = {one: self._needed_s(one) for one in settings}
        fitting = {one: weight for one, weight in settings.items() if needed_s[one] <= cycle.longest_room_s}
        if not fitting:
            least_s = min(needed_s.values())
            yield CycleLeavesNoRoom(cycle.told(), least_s)
            yield ends(SearchEnd.OTHER_CLIENT, no_room_words(cycle.told(), least_s))
            return
        yield GoesBetween(cycle.told(), tuple(one for one in settings if one not in fitting))
        with self.asker.with_manners(BetweenCycles(self.asker, self.evidence, cycle)):
            try:
                yield from asks_all(fitting)
            except SufferingHeard as reason:
                yield reason.suffers
                yield ends(SearchEnd.OTHER_CLIENT, suffers_words(reason.suffers))

    def _needed_s(self, settings: SerialSettings) -> float:
        """Return what the shortest request needs of a pause."""
        on_wire_s = (PROBE_BYTES + REPLY_BYTES) * settings.character_s
        return on_wire_s + self.plan.wait_s + self.asker.traits.latency_s + LATE_ALLOWED_S

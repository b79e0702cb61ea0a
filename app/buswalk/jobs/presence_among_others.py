"""A presence watch beside another client: between its cycles where known, ended where its traffic suffers."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from buswalk.domain.presence.events import PresenceEvent
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.search.events import CycleLeavesNoRoom, GoesBetween
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.between_cycles import LATE_ALLOWED_S, BetweenCycles
from buswalk.jobs.searching.client_learning import learn_client
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.gave_way import SufferingHeard

REQUEST_BYTES, REPLY_BYTES = 8, 7


def watch_among_others(
    asker: Asker, evidence: Evidence, plan: PresencePlan, asks: Callable[[], Iterator[PresenceEvent]]
) -> Iterator[PresenceEvent]:
    """Learn the client's cycle, then ask in its pauses; where it is not understood, when the line is quiet."""
    cycle = learn_client(asker, asker.settings)
    if cycle is None:
        yield from asks()
        return
    needed_s = (
        max((REQUEST_BYTES + REPLY_BYTES) * one.settings.character_s + one.wait_s for one in plan.devices)
        + asker.traits.latency_s
        + LATE_ALLOWED_S
    )
    if needed_s > cycle.longest_room_s:
        yield CycleLeavesNoRoom(cycle.told(), needed_s)
        return
    yield GoesBetween(cycle.told(), ())
    with asker.with_manners(BetweenCycles(asker, evidence, cycle)):
        try:
            yield from asks()
        except SufferingHeard as reason:
            yield reason.suffers

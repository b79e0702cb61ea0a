"""Finds out at which setting another client talks, and what its cycle is. Sends nothing."""

from __future__ import annotations

from collections.abc import Iterable

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.client_cycle import ClientCycle, learn_cycle
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.verdict import verdict_of
from buswalk.domain.search.events import Verdict
from buswalk.domain.search.prior import usual_settings
from buswalk.jobs.asking.asker import Asker

TRIED_S = 4.0
"""At each setting so long: most clients ask more often."""
GLANCE_S = 1.0
DENSE_BYTES = 40
"""So many bytes within a glance and no frame in them: whoever talks so much is not understood here (judgement)."""
LEARNT_S = 20.0
LONGEST_LEARNT_S = 60.0
ROUNDS_LEARNT = 4.0


def learn_client(asker: Asker, first: SerialSettings) -> ClientCycle | None:
    """Return the cycle of the client that is alive here; None where none is understood at any usual setting.

    Args:
        first: Where something was heard already.
    """
    for settings in _in_order(first, usual_settings()):
        asker.use_settings(settings)
        heard = list(asker.listen_until(asker.clock.now_s() + GLANCE_S))
        if sum(len(one.data) for one in heard) < DENSE_BYTES:
            heard += asker.listen_until(asker.clock.now_s() + TRIED_S - GLANCE_S)
        if verdict_of(heard, decode(heard, settings)) is not Verdict.TRAFFIC:
            continue
        cycle = _learn_at(asker, settings, heard)
        if cycle is not None:
            return cycle
    return None


def _in_order(first: SerialSettings, usual: Iterable[SerialSettings]) -> list[SerialSettings]:
    alike = {(first.baud_rate, first.parity)}
    return [first, *(one for one in usual if (one.baud_rate, one.parity) not in alike)]


def _learn_at(asker: Asker, settings: SerialSettings, heard: list[Arrival]) -> ClientCycle | None:
    """Listen until some rounds are known, or for as long as is worth while."""
    began_s = asker.clock.now_s()
    cycle = None
    while (spent_s := asker.clock.now_s() - began_s) < LONGEST_LEARNT_S:
        cycle = learn_cycle(decode(heard, settings), settings)
        if cycle is not None and spent_s > max(LEARNT_S, ROUNDS_LEARNT * cycle.round_s):
            break
        heard += asker.listen_until(asker.clock.now_s() + TRIED_S)
    return cycle

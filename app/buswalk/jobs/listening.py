"""Listens without sending one byte, and says who asks whom, and what kind of traffic there is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.decoder import decode
from buswalk.domain.listening.events import Heard, ListeningEnded, ListeningEvent
from buswalk.domain.listening.heard_exchange import frames_with_roles
from buswalk.domain.listening.verdict import verdict_of
from buswalk.domain.listening.who_asks import WhoAsks
from buswalk.jobs.asking.asker import Asker

LOOK_EVERY_S = 0.5


def listen(line: Line, clock: Clock, seconds: float) -> Iterator[ListeningEvent]:
    """Yield what comes for so long, then the verdict. Nothing is sent."""
    began_s = clock.now_s()
    until_s = began_s + seconds
    arrivals: list[Arrival] = list(line.discard())
    for waiting in arrivals:
        yield Heard(waiting)
    while (arrival := line.read(until_s)) is not None:
        arrivals.append(arrival)
        yield Heard(arrival)
        if clock.now_s() >= until_s:
            break
    yield _ended(line.settings, clock.now_s() - began_s, arrivals)


def listen_with(asker: Asker, seconds: float) -> Iterator[ListeningEvent]:
    """The same over an asker: what comes has its place in its evidence."""
    began_s = asker.clock.now_s()
    arrivals: list[Arrival] = []
    while (now_s := asker.clock.now_s()) < began_s + seconds:
        for arrival in asker.listen_until(min(began_s + seconds, now_s + LOOK_EVERY_S)):
            arrivals.append(arrival)
            yield Heard(arrival)
    yield _ended(asker.settings, asker.clock.now_s() - began_s, arrivals)


def _ended(settings: SerialSettings, seconds: float, arrivals: Sequence[Arrival]) -> ListeningEnded:
    pieces = decode(arrivals, settings)
    who = WhoAsks()
    who.take(pieces)
    return ListeningEnded(
        settings,
        seconds,
        verdict_of(arrivals, pieces),
        sum(len(one.data) for one in arrivals),
        frames_with_roles(pieces),
        who.requests,
        who.unasked_replies,
    )

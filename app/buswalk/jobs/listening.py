"""Listens without sending one byte, and says what kind of traffic there is."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from buswalk.domain.line.arrival import Arrival, ByteMark, LineMark
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.listening.events import Heard, ListeningEnded, ListeningEvent
from buswalk.domain.modbus.frame_splitter import Frame, split
from buswalk.domain.search.events import Verdict
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
    data = b"".join(one.data for one in arrivals)
    frames = tuple(piece for piece in split(data) if isinstance(piece, Frame))
    return ListeningEnded(settings, seconds, verdict_of(arrivals), len(data), frames)


def verdict_of(arrivals: Sequence[Arrival]) -> Verdict:
    """Return what kind of traffic these arrivals are."""
    data = b"".join(one.data for one in arrivals)
    marks = [mark for one in arrivals for mark in one.marks]
    if not data and not marks:
        return Verdict.SILENT
    if any(isinstance(piece, Frame) for piece in split(data)):
        return Verdict.TRAFFIC
    breaks = [mark for mark in marks if mark.mark is LineMark.BREAK]
    if breaks and not data.strip(b"\x00"):
        return Verdict.HELD
    if len(data) == 1 and data == b"\x00" and any(isinstance(mark, ByteMark) for mark in marks):
        return Verdict.HELD
    return Verdict.BABBLE

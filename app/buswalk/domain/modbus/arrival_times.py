"""What the arrivals of one exchange say of times: turnaround, pauses, marks. Ranges, never single figures."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from buswalk.domain.line.arrival import Arrival, ByteMark, Mark
from buswalk.domain.line.silent_intervals import inter_character_timeout_s
from buswalk.domain.modbus.exchange import NoTurnaround, Turnaround, TurnaroundSeen
from buswalk.domain.modbus.observation import MarksSeen, PauseInside, VeryEarly
from buswalk.domain.modbus.question import Question


@dataclass(frozen=True, slots=True)
class ReplySpan:
    """Where the reply stands in all bytes of the exchange."""

    begin: int
    byte_count: int

    @property
    def end(self) -> int:
        """Offset of the first byte behind it."""
        return self.begin + self.byte_count


@dataclass(frozen=True, slots=True)
class _Lump:
    """One arrival's share of the reply: `first` counts from the reply's first byte."""

    arrival: Arrival
    first: int
    byte_count: int


def _lumps(arrivals: Sequence[Arrival], span: ReplySpan) -> tuple[_Lump, ...]:
    lumps: list[_Lump] = []
    at = 0
    for arrival in arrivals:
        begin, end = max(at, span.begin), min(at + len(arrival.data), span.end)
        if begin < end:
            lumps.append(_Lump(arrival, begin - span.begin, end - begin))
        at += len(arrival.data)
    return tuple(lumps)


def turnaround_of(question: Question, arrivals: Sequence[Arrival], span: ReplySpan) -> TurnaroundSeen:
    """Return end of request to first bit of the reply.

    An arrival's time is the end of its bytes, so one character is taken off; of several bytes in one
    lump the first ended earlier than the last by their length.
    """
    lumps = _lumps(arrivals, span)
    if not lumps:
        return NoTurnaround()
    first = lumps[0]
    character_s = question.settings.character_s if question.traits.spends_wire_time else 0.0
    earliest = first.arrival.not_before_s - character_s
    latest = first.arrival.not_after_s - first.byte_count * character_s
    return Turnaround(
        earliest - question.sent.end_not_after_s,
        max(earliest - question.sent.end_not_after_s, latest - question.sent.end_not_before_s),
    )


def very_early(question: Question, turnaround: TurnaroundSeen) -> tuple[VeryEarly, ...]:
    """Say if the reply surely began sooner than t1.5 after our request.

    Until then no server can know that the request has ended (Serial Line V1.02, 2.5.1.1), so such a
    reply may belong to an earlier one. Not said where the port spends no wire time.
    """
    if not question.traits.spends_wire_time or isinstance(turnaround, NoTurnaround):
        return ()
    if turnaround.not_more_than_s >= inter_character_timeout_s(question.settings):
        return ()
    return (VeryEarly(turnaround.not_more_than_s),)


def pauses_inside(question: Question, arrivals: Sequence[Arrival], span: ReplySpan) -> tuple[PauseInside, ...]:
    """Return the silences inside the reply that were surely longer than t1.5.

    From the latest end of one lump to the earliest start of the next: what latency may have added is
    already in the arrivals' ranges. Not said where the port spends no wire time.
    """
    if not question.traits.spends_wire_time:
        return ()
    pauses: list[PauseInside] = []
    lumps = _lumps(arrivals, span)
    for before, after in pairwise(lumps):
        silence_s = after.arrival.not_before_s - question.settings.character_s - before.arrival.not_after_s
        if silence_s > inter_character_timeout_s(question.settings):
            pauses.append(PauseInside(after.first, silence_s))
    return tuple(pauses)


def marks_seen(arrivals: Sequence[Arrival]) -> tuple[MarksSeen, ...]:
    """Return all marks of the exchange, offsets counted over all its bytes."""
    marks: list[Mark] = []
    at = 0
    for arrival in arrivals:
        marks.extend(
            ByteMark(at + mark.offset, mark.mark) if isinstance(mark, ByteMark) else mark for mark in arrival.marks
        )
        at += len(arrival.data)
    return (MarksSeen(tuple(marks)),) if marks else ()

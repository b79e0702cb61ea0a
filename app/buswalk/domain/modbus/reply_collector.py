"""Follows what arrives after one request until it is known what came. Pure: arrivals in, a conclusion out.

What is decided does not depend on how bytes were lumped, only what is said of times does. Every byte received ends up
in the conclusion exactly once.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import TypeAlias

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.modbus.adu import BROADCAST_ADDRESS, EXCEPTION_ADU_BYTES, EXCEPTION_BIT
from buswalk.domain.modbus.answer_search import Answer, search_answer
from buswalk.domain.modbus.arrival_times import ReplySpan, marks_seen, pauses_inside, turnaround_of, very_early
from buswalk.domain.modbus.echo_separation import EchoSplit, split_echo
from buswalk.domain.modbus.exchange import NoTurnaround, TurnaroundSeen
from buswalk.domain.modbus.frame_splitter import Frame, split
from buswalk.domain.modbus.observation import (
    BytesAfter,
    BytesBefore,
    EchoDamaged,
    EchoHeard,
    ForeignFrame,
    Observation,
)
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    CorruptReply,
    DamagedEcho,
    EchoOnly,
    ForeignReply,
    NoReply,
    Outcome,
    ShortReply,
    Stopped,
)
from buswalk.domain.modbus.question import Question


@dataclass(frozen=True, slots=True)
class Waiting:
    """Nothing yet that could be, or become, the answer."""


@dataclass(frozen=True, slots=True)
class Receiving:
    """A head that could become the answer is there; so many bytes are missing at least."""

    missing_bytes: int


@dataclass(frozen=True, slots=True)
class Spoiled:
    """As many bytes as a reply has have come, and they are no right answer; only quiet ends this."""


@dataclass(frozen=True, slots=True)
class Whole:
    """A right answer is complete; bytes behind it may still belong to this exchange."""


CollectorState: TypeAlias = Waiting | Receiving | Spoiled | Whole


class Ending(Enum):
    """Why an exchange is concluded."""

    RAN_OUT = "ran_out"
    STOPPED = "stopped"


@dataclass(frozen=True, slots=True)
class Conclusion:
    """What the bytes of one exchange amount to.

    Attributes:
        pieces: All received bytes, cut into echo, bytes around and the frame, in wire order.
    """

    outcome: Outcome
    observations: tuple[Observation, ...]
    turnaround: TurnaroundSeen
    pieces: tuple[bytes, ...]


class ReplyCollector:
    """Takes the arrivals after one request, in order."""

    def __init__(self, question: Question) -> None:
        self._question = question
        self._arrivals: list[Arrival] = []
        self._received = b""

    @property
    def received(self) -> bytes:
        """All bytes taken so far."""
        return self._received

    @property
    def arrivals(self) -> tuple[Arrival, ...]:
        """All arrivals taken so far."""
        return tuple(self._arrivals)

    def take(self, arrival: Arrival) -> None:
        """Take the next arrival."""
        self._arrivals.append(arrival)
        self._received += arrival.data

    def state(self) -> CollectorState:
        """Return how far the answer has come."""
        echo = split_echo(self._question, self._arrivals, self._received)
        rest = self._received[echo.rest_from :]
        if echo.may_grow or not rest or not self._question.reply_is_due:
            return Waiting()
        result = search_answer(self._question, rest)
        if result.open_head is not None and (
            result.answer is None or not result.answer.is_right or result.open_head.offset < result.answer.offset
        ):
            return Receiving(result.open_head.missing_bytes)
        if result.answer is not None:
            return Whole() if result.answer.is_right else Spoiled()
        unexplained = sum(len(piece.data) for piece in split(rest) if not isinstance(piece, Frame))
        return Spoiled() if unexplained >= self._question.least_reply_bytes else Waiting()

    def conclude(self, ended_s: float, ending: Ending) -> Conclusion:
        """Say what came, with all that is known now; `ended_s` is line time."""
        echo = split_echo(self._question, self._arrivals, self._received)
        rest = self._received[echo.rest_from :]
        waited_s = max(0.0, ended_s - self._question.sent.end_not_before_s)
        answer = search_answer(self._question, rest).answer
        if ending is Ending.STOPPED and (answer is None or not answer.is_right):
            return self._without_frame(echo, rest, Stopped(self._received))
        if answer is not None:
            return self._with_frame(echo, rest, answer)
        return self._without_answer(echo, rest, waited_s)

    def _with_frame(self, echo: EchoSplit, rest: bytes, answer: Answer) -> Conclusion:
        before, after = rest[: answer.offset], rest[answer.end :]
        span = ReplySpan(echo.rest_from + answer.offset, len(answer.outcome.adu))
        turnaround = turnaround_of(self._question, self._arrivals, span)
        around_before, pieces_before = _around(before, BytesBefore)
        around_after, pieces_after = _around(after, BytesAfter)
        observations: tuple[Observation, ...] = (
            *_echo_observations(echo),
            *around_before,
            *around_after,
            *pauses_inside(self._question, self._arrivals, span),
            *marks_seen(self._arrivals),
            *very_early(self._question, turnaround),
        )
        pieces = (*_echo_pieces(echo), *pieces_before, answer.outcome.adu, *pieces_after)
        return Conclusion(answer.outcome, observations, turnaround, pieces)

    def _without_answer(self, echo: EchoSplit, rest: bytes, waited_s: float) -> Conclusion:
        if self._question.server_address == BROADCAST_ADDRESS:
            return self._without_frame(echo, rest, BroadcastSent())
        if not rest:
            return self._without_frame(echo, rest, _silence(echo, waited_s))
        foreign = [piece for piece in split(rest) if isinstance(piece, Frame)]
        if foreign:
            return self._with_foreign_frame(echo, rest, foreign[0])
        least = self._question.least_reply_bytes
        refusal = self._question.request.function_code | EXCEPTION_BIT
        is_whole_refusal = rest[1:2] == bytes([refusal]) and len(rest) >= EXCEPTION_ADU_BYTES
        outcome: Outcome = ShortReply(rest, least)
        if len(rest) >= least or is_whole_refusal:
            outcome = CorruptReply(rest, least)
        span = ReplySpan(echo.rest_from, len(rest))
        turnaround = turnaround_of(self._question, self._arrivals, span)
        observations: tuple[Observation, ...] = (
            *_echo_observations(echo),
            *pauses_inside(self._question, self._arrivals, span),
            *marks_seen(self._arrivals),
            *very_early(self._question, turnaround),
        )
        return Conclusion(outcome, observations, turnaround, (*_echo_pieces(echo), rest))

    def _with_foreign_frame(self, echo: EchoSplit, rest: bytes, frame: Frame) -> Conclusion:
        end = frame.offset + len(frame.adu)
        around_before, pieces_before = _around(rest[: frame.offset], BytesBefore)
        around_after, pieces_after = _around(rest[end:], BytesAfter)
        observations = (
            *_echo_observations(echo),
            *around_before,
            *around_after,
            *marks_seen(self._arrivals),
        )
        pieces = (*_echo_pieces(echo), *pieces_before, frame.adu, *pieces_after)
        return Conclusion(ForeignReply(frame.adu, frame.server_address), observations, NoTurnaround(), pieces)

    def _without_frame(self, echo: EchoSplit, rest: bytes, outcome: Outcome) -> Conclusion:
        around, pieces = _around(rest, BytesAfter)
        observations = (*_echo_observations(echo), *around, *marks_seen(self._arrivals))
        return Conclusion(outcome, observations, NoTurnaround(), (*_echo_pieces(echo), *pieces))


def _silence(echo: EchoSplit, waited_s: float) -> Outcome:
    if echo.is_damaged:
        return DamagedEcho(echo.echo)
    if echo.may_grow:
        return DamagedEcho(echo.echo)
    return EchoOnly(waited_s) if echo.echo else NoReply(waited_s)


def _echo_observations(echo: EchoSplit) -> tuple[Observation, ...]:
    observations: list[Observation] = []
    if echo.before:
        observations.append(BytesBefore(echo.before))
    if echo.echo:
        whole = not echo.is_damaged and not echo.may_grow
        observations.append(EchoHeard(len(echo.echo)) if whole else EchoDamaged(echo.echo))
    return tuple(observations)


def _echo_pieces(echo: EchoSplit) -> tuple[bytes, ...]:
    return tuple(piece for piece in (echo.before, echo.echo) if piece)


def _around(
    data: bytes, kind: type[BytesBefore] | type[BytesAfter]
) -> tuple[tuple[Observation, ...], tuple[bytes, ...]]:
    """Cut bytes around the frame into whole foreign frames and the rest; none is lost."""
    observations: list[Observation] = []
    pieces: list[bytes] = []
    for piece in split(data):
        if isinstance(piece, Frame):
            observations.append(ForeignFrame(piece.adu))
            pieces.append(piece.adu)
        else:
            observations.append(kind(piece.data))
            pieces.append(piece.data)
    return tuple(observations), tuple(pieces)

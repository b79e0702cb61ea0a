"""The only way to ask the line: guards writes, sends when the line is quiet, collects every byte, concludes.

One exchange in time:

    ... last activity | t3.5, gaps | our request | wait for the first byte | reply | t3.5 + latency | concluded

What comes outside of that is not thrown away: `heard_line` tells it as a stray arrival, and whole frames in it are
credited to the requests that they answer late.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from dataclasses import dataclass
from itertools import count

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.port_error import PortError
from buswalk.domain.line.protocols import Clock, Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.line_events import EventSink, ExchangeDone, LineEvent, SettingsApplied, StrayArrival
from buswalk.domain.modbus.adu import build_adu
from buswalk.domain.modbus.custom_frame import request_in
from buswalk.domain.modbus.exchange import Exchange, NeverSent, NoTurnaround
from buswalk.domain.modbus.observation import ForeignFrame, MaybeOld
from buswalk.domain.modbus.outcome import (
    BroadcastSent,
    ExceptionReply,
    ForeignReply,
    NormalReply,
    NotSent,
    NotSentReason,
    UnexpectedReply,
)
from buswalk.domain.modbus.question import Question
from buswalk.domain.modbus.reply_collector import Ending, Receiving, ReplyCollector, Spoiled, Waiting, Whole
from buswalk.domain.modbus.request import Request
from buswalk.jobs.asking.heard_line import PAUSE_ALLOWED_INSIDE_S, QUIET_WITHIN_S, HeardLine
from buswalk.jobs.asking.late_replies import LateReplies
from buswalk.jobs.asking.manners import Manners, coming
from buswalk.jobs.asking.stopped import Stopped
from buswalk.jobs.asking.write_guard import NO_CONSENT, Consents, require_leave, require_leave_for_frame
from buswalk.jobs.asking.write_lock import WriteLeave

LUMP_BYTES = 64
"""Adapters hand over at least every 62 bytes (common practice, no source)."""
MOST_BYTES = 1024
"""An exchange is closed when so much has come: a server that never stops must not hold us."""


@dataclass(frozen=True, slots=True)
class AskTiming:
    """How long to wait and how long to pause.

    Attributes:
        response_timeout_s: From the computed end of the request to the first byte of the reply
            (Serial Line V1.02, 2.4.1); the port's latency is added.
        minimum_gap_s: Least silence before this request, beside t3.5.
    """

    response_timeout_s: float = 0.5
    minimum_gap_s: float = 0.0

    def __post_init__(self) -> None:
        if self.response_timeout_s <= 0 or self.minimum_gap_s < 0:
            raise ValueError("a time-out is above zero, and a gap not below it")


class Asker:
    """Asks one line. Numbers exchanges from 1, or as it is told where a record goes on."""

    def __init__(
        self,
        line: Line,
        clock: Clock,
        sink: EventSink,
        consents: Consents = NO_CONSENT,
        numbers: Iterator[int] | None = None,
    ) -> None:
        self._line = line
        self._clock = clock
        self._sink = sink
        self._consents = consents
        self._numbers = count(1) if numbers is None else numbers
        self._late = LateReplies(sink)
        self._heard = HeardLine(line, clock, sink, self._late)

    @property
    def traits(self) -> LineTraits:
        """What the port can tell, with what was learnt since it was opened."""
        return self._heard.traits

    @property
    def settings(self) -> SerialSettings:
        """Speed and framing now."""
        return self._line.settings

    @property
    def clock(self) -> Clock:
        """The clock of the line."""
        return self._clock

    def tell(self, event: LineEvent) -> None:
        """Hand on what was concluded from what came; it is kept and shown like all else."""
        self._sink(event)

    def use_settings(self, settings: SerialSettings) -> None:
        """Change speed and framing; nothing if they are the same."""
        if settings == self._line.settings:
            return
        self._heard.drain()
        self._late.end_burst()
        self._line.apply(settings)
        self._late.forget_settings()
        self._sink(SettingsApplied(settings, self._clock.now_s()))

    def listen_until(self, time_s: float) -> tuple[Arrival, ...]:
        """Send nothing; return what came until then. It is evidence too."""
        return self._heard.listen_until(time_s)

    def without_stopping(self) -> AbstractContextManager[None]:
        """Put a stop off until the end of this span: a write and its first read-back belong together.

        Raises:
            Stopped: At the end, if a stop came meanwhile.
        """
        return self._heard.without_stopping()

    @contextmanager
    def with_manners(self, manners: Manners) -> Iterator[None]:
        """Give others way like this, in this span: every request waits until it may leave."""
        before, self._heard.manners = self._heard.manners, manners
        try:
            yield
        finally:
            self._heard.manners = before

    def ask(self, server_address: int, request: Request, timing: AskTiming) -> Exchange:
        """Send one request and return what came of it.

        Raises:
            GuardRefusal: The request would write or disturb, and there is no leave for it.
            PortError: The port was lost; what had arrived has left as stray arrivals.
            Stopped: The user's stop; the exchange has been closed and told before.
        """
        require_leave(server_address, request, self._consents)
        return self._send(server_address, request, build_adu(server_address, request.pdu()), timing)

    def write(self, server_address: int, request: Request, timing: AskTiming, leave: WriteLeave) -> Exchange:
        """Send one request that leave was given for, once.

        Raises:
            GuardRefusal: The leave is not for these bytes, is used up, or a second one is wanting.
            PortError: The port was lost; what had arrived has left as stray arrivals.
            Stopped: The user's stop; the exchange has been closed and told before.
        """
        require_leave(server_address, request, leave.consents)
        adu = build_adu(server_address, request.pdu())
        leave.spend(adu)
        return self._send(server_address, request, adu, timing)

    def send_frame(self, frame: bytes, timing: AskTiming, leave: WriteLeave) -> Exchange:
        """Send bytes of one's own as they are, check sum included, right or wrong.

        Raises:
            GuardRefusal: The leave is not for these bytes, is used up, or a second one is wanting.
            ValueError: They are too few or too many for a frame.
            PortError: The port was lost; what had arrived has left as stray arrivals.
            Stopped: The user's stop; the exchange has been closed and told before.
        """
        request = request_in(frame)
        require_leave_for_frame(frame, leave.consents)
        leave.spend(frame)
        return self._send(frame[0], request, frame, timing)

    def _send(self, server_address: int, request: Request, adu: bytes, timing: AskTiming) -> Exchange:
        heard = self._heard
        timing = heard.manners.make_room(coming(adu, request, timing))
        if not heard.wait_for_quiet(timing.minimum_gap_s):
            return self._not_sent(server_address, request, adu)
        sent = heard.write(adu)
        heard.last_activity_s = sent.end_not_after_s
        question = Question(server_address, request, adu, self._line.settings, sent, heard.traits, heard.echo)
        collector = ReplyCollector(question)
        try:
            return self._exchange(collector, question, timing)
        except PortError:
            for arrival in collector.arrivals:
                self._sink(StrayArrival(arrival))
            raise

    def _exchange(self, collector: ReplyCollector, question: Question, timing: AskTiming) -> Exchange:
        try:
            self._collect(collector, question, timing)
        except Stopped:
            self._let_it_end(collector, question)
            self._conclude(collector, question, Ending.STOPPED)
            raise
        return self._conclude(collector, question, Ending.RAN_OUT)

    def _not_sent(self, server_address: int, request: Request, adu: bytes) -> Exchange:
        now_s = self._clock.now_s()
        sentence = f"the line was not quiet within {QUIET_WITHIN_S:.0f} s: somebody else keeps sending"
        outcome = NotSent(NotSentReason.LINE_NOT_QUIET, sentence)
        exchange = Exchange(
            next(self._numbers),
            server_address,
            request,
            adu,
            self._line.settings,
            NeverSent(now_s),
            (),
            now_s,
            outcome,
            (),
            NoTurnaround(),
        )
        self._sink(ExchangeDone(exchange))
        return exchange

    # During

    def _collect(self, collector: ReplyCollector, question: Question, timing: AskTiming) -> None:
        """Read until the answer is whole and quiet has followed, or nothing can come any more."""
        first_byte_due_s = question.sent.end_not_after_s + timing.response_timeout_s + question.traits.latency_s
        heard, heard_s = self._heard, question.sent.end_not_after_s
        while len(collector.received) < MOST_BYTES:
            deadline_s = first_byte_due_s
            match state := collector.state():
                case Whole():
                    # From the last byte and not from now: the silence passes while we look at what came.
                    deadline_s = self._quiet_by_s(question, heard_s)
                case Spoiled():
                    # The right answer may still follow: a late reply to an older request came first.
                    deadline_s = max(first_byte_due_s, self._rest_due_s(question, 1))
                case Receiving(missing_bytes):
                    deadline_s = self._rest_due_s(question, missing_bytes)
                case Waiting():
                    deadline_s = max(first_byte_due_s, self._rest_due_s(question, 1) if collector.received else 0.0)
            if not isinstance(state, Receiving):
                deadline_s = min(deadline_s, first_byte_due_s + question.longest_stranger_s)
            if self._broadcast_over(question, timing):
                return
            arrival = heard.read(deadline_s)
            if arrival is None:
                return
            heard.last_activity_s = max(heard.last_activity_s, arrival.not_after_s)
            heard_s = arrival.not_after_s
            heard.manners.heard_in_exchange(arrival)
            collector.take(arrival)

    def _let_it_end(self, collector: ReplyCollector, question: Question) -> None:
        """Stopped: listen on until the line is quiet, so that the next to ask finds it so."""
        give_up_s = self._clock.now_s() + QUIET_WITHIN_S
        quiet_s = inter_frame_delay_s(question.settings) + question.traits.latency_s
        while len(collector.received) < MOST_BYTES:
            arrival = self._line.read(min(give_up_s, self._clock.now_s() + quiet_s))
            if arrival is None:
                return
            self._heard.last_activity_s = max(self._heard.last_activity_s, arrival.not_after_s)
            collector.take(arrival)

    def _broadcast_over(self, question: Question, timing: AskTiming) -> bool:
        over_s = question.sent.end_not_after_s + timing.response_timeout_s
        return not question.reply_is_due and self._clock.now_s() >= over_s

    def _rest_due_s(self, question: Question, missing_bytes: int) -> float:
        """Return by when more must have come: a lump's time, what latency adds, and a tolerated pause."""
        lump_s = min(missing_bytes, LUMP_BYTES) * question.settings.character_s
        return self._heard.last_activity_s + lump_s + question.traits.latency_s + PAUSE_ALLOWED_INSIDE_S

    def _quiet_by_s(self, question: Question, since_s: float) -> float:
        return since_s + inter_frame_delay_s(question.settings) + question.traits.latency_s

    # After

    def _conclude(self, collector: ReplyCollector, question: Question, ending: Ending) -> Exchange:
        ended_s = self._clock.now_s()
        conclusion = collector.conclude(ended_s, ending)
        observations = conclusion.observations
        if isinstance(conclusion.outcome, NormalReply | ExceptionReply):
            observations += self._late.doubt(conclusion.outcome.adu, question.sent.begin_s)
        exchange = Exchange(
            next(self._numbers),
            question.server_address,
            question.request,
            question.request_adu,
            question.settings,
            question.sent,
            collector.arrivals,
            ended_s,
            conclusion.outcome,
            observations,
            conclusion.turnaround,
        )
        self._heard.learn(exchange)
        self._sink(ExchangeDone(exchange))
        self._after(exchange, question)
        return exchange

    def _after(self, exchange: Exchange, question: Question) -> None:
        """Credit whole frames that answer older requests, and remember this one if its answer may still come."""
        frames = [one.adu for one in exchange.observations if isinstance(one, ForeignFrame)]
        if isinstance(exchange.outcome, ForeignReply | UnexpectedReply):
            frames.append(exchange.outcome.adu)
        self._late.take_frames(frames, exchange.ended_s)
        is_answered = isinstance(exchange.outcome, NormalReply | ExceptionReply | BroadcastSent)
        is_sure = not any(isinstance(one, MaybeOld) for one in exchange.observations)
        if not is_answered or not is_sure:
            self._late.remember(exchange, question.sent.end_not_after_s)

"""Learns which addresses of one device can be read: by reads only, and after it was confirmed that these are safe.

What came of each read decides the next one. A reply that may be an old one is asked for again; silence is a refusal
only in a device that never sends an exception for what is not there, and is still alive right afterwards.
"""

from __future__ import annotations

from collections.abc import Iterator
from enum import Enum

from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.observation import MaybeOld
from buswalk.domain.modbus.outcome import EchoOnly, ExceptionReply, NoReply, NormalReply
from buswalk.domain.registers.map_learning.known_map import KnownMap, Read, Seen, Standing
from buswalk.domain.registers.map_learning.next_read import next_read
from buswalk.domain.registers.map_learning.plan import (
    USUAL_TURNAROUND_S,
    LearningBegan,
    LearningEvent,
    LearningGivenUp,
    LearnPlan,
    LearntRead,
    MapLearnt,
    MapProgress,
    TableNotServed,
    forecast,
)
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.read_requests import read_request
from buswalk.domain.registers.tables import Table
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.listening import listen_with

TRIES = 3
"""So often is asked what brought neither a reply nor a refusal (judgement, no source)."""
SILENT_PLACES = 8
"""So many silent places in a row, with no answer before, and nobody is taken to be there (judgement, no source)."""
PROGRESS_EVERY = 25
LATE_FOR_S = 1.0
"""A late reply to a silent read is waited for so long, or for the longest turnaround seen one and a half times."""
LATE_FACTOR = 1.5
ILLEGAL_FUNCTION, ILLEGAL_ADDRESS, ILLEGAL_VALUE, ACKNOWLEDGE, BUSY = 0x01, 0x02, 0x03, 0x05, 0x06
"""Exception codes (Application V1.1b3, 7)."""
_SAYS_WHY = (ILLEGAL_FUNCTION, ILLEGAL_ADDRESS, ILLEGAL_VALUE)
"""Any other refusal may pass: it is taken for one of the addresses when it comes twice."""


class Trouble(Enum):
    """Why a block cannot be gone on with."""

    FUNCTION_UNKNOWN = "function_unknown"
    NO_ANSWER = "no_answer"


class MapLearner:
    """One learning. Its memory lets another one go on."""

    def __init__(self, asker: Asker, plan: LearnPlan) -> None:
        self._asker = asker
        self._plan = plan
        self._timing = AskTiming(plan.wait_s, plan.minimum_gap_s)
        self._memory = list(plan.memory)
        self._turnarounds: list[float] = []
        self._has_refused_by_exception = False
        self._has_refused_by_silence = False
        self._answered: tuple[Table, Read] | None = None
        self._silent_places = 0

    @property
    def memory(self) -> tuple[LearntRead, ...]:
        """All reads that were concluded, those of before included."""
        return tuple(self._memory)

    def run(self) -> Iterator[LearningEvent | Heard | ListeningEnded | LivingLine]:
        """Listen, then learn block by block; nothing is asked where another client is alive, unless it was allowed.

        Raises:
            PortError: The port was lost.
            Stopped: The user's stop.
        """
        plan = self._plan
        self._asker.use_settings(plan.settings)
        if plan.listen_s:
            for heard in listen_with(self._asker, plan.listen_s):
                yield heard
                is_alive = isinstance(heard, ListeningEnded) and heard.verdict is not Verdict.SILENT
                if isinstance(heard, ListeningEnded) and is_alive and not plan.may_ask_living_line:
                    yield LivingLine(heard.verdict, "something is sending on this line; nothing was asked")
                    return
        before = forecast(plan.blocks, plan)
        now_s = self._asker.clock.now_s()
        yield LearningBegan(plan.server_address, plan.settings, plan.blocks, plan.confirmed, before, now_s)
        for place, block in enumerate(plan.blocks):
            yield from self._learn(block, plan.blocks[place + 1 :])

    def _learn(self, block: Block, later: tuple[Block, ...]) -> Iterator[LearningEvent]:
        plan = self._plan
        known = self._known(block)
        reads = 0
        while (read := next_read(known)) is not None:
            seen = self._look(block.table, read)
            now_s = self._asker.clock.now_s()
            match seen:
                case Trouble.FUNCTION_UNKNOWN:
                    yield TableNotServed(plan.server_address, plan.settings, block.table, now_s)
                    return
                case Trouble.NO_ANSWER:
                    words = f"no answer at {read.first} in {TRIES} tries, nor in {self._silent_places} places before"
                    yield LearningGivenUp(plan.server_address, plan.settings, block, words, now_s)
                    return
                case _:
                    self._memory.append(LearntRead(block.table, read, seen))
                    known.take(read, seen)
            if self._has_refused_by_exception and self._silent_places:
                self._forget_silences()
                known = self._known(block)
            reads += 1
            if reads % PROGRESS_EVERY == 0:
                yield self._progress(known, reads, later)
        yield self._learnt(known, reads)

    def _known(self, block: Block) -> KnownMap:
        known = KnownMap(block, self._plan.shortest_span, self._plan.largest_quantity)
        for one in self._memory:
            if one.table is block.table and block.first <= one.read.first <= one.read.last <= block.last:
                known.take(one.read, one.seen)
        return known

    def _forget_silences(self) -> None:
        """It refuses by exceptions, so that its silences at the beginning were none of its refusals."""
        del self._memory[-1 - self._silent_places : -1]
        self._silent_places = 0

    # One read

    def _look(self, table: Table, read: Read) -> Seen | Trouble:
        """Ask until something is known of this read."""
        silent = 0
        codes: list[int] = []
        for _ in range(TRIES):
            exchange = self._ask(table, read)
            match exchange.outcome:
                case NormalReply() if not _may_be_old(exchange):
                    self._answered = table, read
                    self._has_refused_by_silence |= self._silent_places > 0
                    self._silent_places = 0
                    return Seen.READ
                case ExceptionReply(exception_code=code) if not _may_be_old(exchange) and code not in (
                    ACKNOWLEDGE,
                    BUSY,
                ):
                    if code in _SAYS_WHY or code in codes:
                        return self._refused(code)
                    codes.append(code)
                case NoReply() | EchoOnly():
                    silent += 1
                    self._leave_alone()
                case _:
                    self._leave_alone()
        return self._after_silence() if silent == TRIES else Seen.NOTHING

    def _refused(self, code: int) -> Seen | Trouble:
        if code == ILLEGAL_FUNCTION:
            return Trouble.FUNCTION_UNKNOWN
        if code == ILLEGAL_VALUE:
            return Seen.TOO_MUCH
        self._has_refused_by_exception = True
        return Seen.REFUSED

    def _after_silence(self) -> Seen | Trouble:
        """Silence means that nothing is there, if the device is alive and never said so otherwise."""
        if self._answered is None:
            if self._has_refused_by_exception:
                return Seen.NOTHING
            self._silent_places += 1
            return Seen.REFUSED if self._silent_places < SILENT_PLACES else Trouble.NO_ANSWER
        for _ in range(TRIES):
            if isinstance(self._ask(*self._answered).outcome, NormalReply | ExceptionReply):
                self._has_refused_by_silence |= not self._has_refused_by_exception
                return Seen.NOTHING if self._has_refused_by_exception else Seen.REFUSED
            self._leave_alone()
        return Trouble.NO_ANSWER

    def _ask(self, table: Table, read: Read) -> Exchange:
        request = read_request(table, read.first, read.quantity)
        exchange = self._asker.ask(self._plan.server_address, request, self._timing)
        if isinstance(exchange.turnaround, Turnaround):
            self._turnarounds.append(exchange.turnaround.not_more_than_s)
        return exchange

    def _leave_alone(self) -> None:
        longest_s = max(self._turnarounds, default=0.0)
        self._asker.listen_until(self._asker.clock.now_s() + max(LATE_FOR_S, LATE_FACTOR * longest_s))

    # What is said

    def _progress(self, known: KnownMap, reads: int, later: tuple[Block, ...]) -> MapProgress:
        seen_s = self._turnarounds or [USUAL_TURNAROUND_S]
        left = (*known.spans(Standing.UNKNOWN), *later)
        return MapProgress(
            known.block,
            reads,
            sum(one.quantity for one in known.spans()),
            known.unknown,
            forecast(left, self._plan, sum(seen_s) / len(seen_s)),
            self._asker.clock.now_s(),
        )

    def _learnt(self, known: KnownMap, reads: int) -> MapLearnt:
        return MapLearnt(
            self._plan.server_address,
            self._plan.settings,
            known.block,
            known.spans(),
            known.spans(Standing.UNCLEAR),
            self._plan.shortest_span,
            reads,
            known.limit.read,
            known.limit.refused,
            self._has_refused_by_silence,
            self._asker.clock.now_s(),
        )


def _may_be_old(exchange: Exchange) -> bool:
    return any(isinstance(one, MaybeOld) for one in exchange.observations)

"""What came of the last 60 s of line time: one count for each kind, and what was heard beside. Plain Python."""

from __future__ import annotations

from collections import Counter, deque
from dataclasses import dataclass

from buswalk.bus.messages import Kept, StreamItem
from buswalk.domain.line_events import Credit, ExchangeDone, LateReply, StrayArrival
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.observation import BytesAfter, BytesBefore, ForeignFrame
from buswalk.domain.visit.session_events import SessionStarted
from buswalk.ui.expected_devices import ExpectedDevices
from buswalk.ui.outcome_kinds import OutcomeKind, kind_of
from buswalk.ui.strip.unasked import ForeignHeard, StrayHeard, Unasked, UnaskedBytes

WINDOW_S = 60.0
BESIDE = (OutcomeKind.FOREIGN_FRAME, OutcomeKind.STRAY_BYTE)
"""Counted beside exchanges, not among them."""
NO_TRIAL = (OutcomeKind.SILENT_AS_EXPECTED, OutcomeKind.STOPPED, OutcomeKind.TO_ALL)
"""Exchanges that say nothing of how often an answer fails: nobody was to answer, or nobody waited for it."""


@dataclass(slots=True)
class _Counted:
    at_s: float
    kind: OutcomeKind
    number: int = 0


@dataclass(frozen=True, slots=True)
class Counts:
    """The last 60 s.

    Attributes:
        by_kind: How many of each kind; kinds that are not in it were not seen.
        trials: Exchanges by which shares are measured.
        first_foreign_s: When the first foreign frame of these was heard; line time.
    """

    by_kind: Counter[OutcomeKind]
    trials: int
    first_foreign_s: float | None

    @property
    def asked(self) -> int:
        """All exchanges."""
        return sum(count for kind, count in self.by_kind.items() if kind not in BESIDE)

    @property
    def is_empty(self) -> bool:
        """Whether nothing was asked and nothing heard."""
        return not self.by_kind


class OutcomeCounts:
    """Takes the stream; forgets what is older than 60 s of line time."""

    def __init__(self) -> None:
        self._expected = ExpectedDevices()
        self._unasked = UnaskedBytes()
        self._counted: deque[_Counted] = deque()
        self._beside: deque[_Counted] = deque()
        self.has_asked = False
        """Whether anything was asked in this session."""

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self._expected.take(item)
        if not isinstance(item, Kept):
            return
        match item.event:
            case SessionStarted():
                self._begin()
            case ExchangeDone(exchange):
                self._put_unasked(self._unasked.settle())
                self._take_exchange(exchange)
            case StrayArrival(arrival) if arrival.data:
                self._unasked.take(arrival)
            case LateReply() as late:
                self._take_late(late)
            case _:
                pass

    def tick(self) -> None:
        """A tenth of a second of real time has passed."""
        self._put_unasked(self._unasked.tick())

    def counts(self, now_s: float) -> Counts:
        """Return the counts of the last 60 s."""
        for queue in (self._counted, self._beside):
            while queue and queue[0].at_s < now_s - WINDOW_S:
                queue.popleft()
        by_kind = Counter(one.kind for one in self._counted)
        trials = sum(count for kind, count in by_kind.items() if kind not in NO_TRIAL)
        by_kind.update(one.kind for one in self._beside)
        foreign = (one.at_s for one in self._beside if one.kind is OutcomeKind.FOREIGN_FRAME)
        return Counts(by_kind, trials, next(foreign, None))

    def _begin(self) -> None:
        self._unasked = UnaskedBytes()
        self._counted.clear()
        self._beside.clear()
        self.has_asked = False

    def _take_exchange(self, exchange: Exchange) -> None:
        self.has_asked = True
        is_expected = self._expected.is_expected(exchange.server_address, exchange.settings)
        kind = kind_of(exchange.outcome, is_expected=is_expected)
        self._counted.append(_Counted(exchange.ended_s, kind, exchange.number))
        seen = exchange.observations
        if any(isinstance(one, BytesBefore | BytesAfter) for one in seen):
            self._beside.append(_Counted(exchange.ended_s, OutcomeKind.STRAY_BYTE))
        for one in seen:
            if isinstance(one, ForeignFrame):
                self._beside.append(_Counted(exchange.ended_s, OutcomeKind.FOREIGN_FRAME))

    def _take_late(self, late: LateReply) -> None:
        self._unasked.take_late(late.adu)
        if late.credit is not Credit.CREDITED:
            self._beside.append(_Counted(late.at_s, OutcomeKind.STRAY_BYTE))
            return
        silences = (OutcomeKind.NO_REPLY, OutcomeKind.SILENT_AS_EXPECTED)
        for one in reversed(self._counted):
            if one.number == late.exchange_numbers[0] and one.kind in silences:
                one.kind = OutcomeKind.LATE_REPLY

    def _put_unasked(self, heard: tuple[Unasked, ...]) -> None:
        for one in heard:
            match one:
                case ForeignHeard(at_s=at_s):
                    self._beside.append(_Counted(at_s, OutcomeKind.FOREIGN_FRAME))
                case StrayHeard(at_s=at_s):
                    self._beside.append(_Counted(at_s, OutcomeKind.STRAY_BYTE))

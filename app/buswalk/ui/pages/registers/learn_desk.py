"""Which addresses of a device can be read: guarded, forecast first, stopped and gone on with at will. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, replace

from buswalk.bus.messages import StartLearning
from buswalk.domain.registers.map_learning.plan import (
    LearningBegan,
    LearningForecast,
    LearningGivenUp,
    LearnPlan,
    MapLearnt,
    MapProgress,
    TableNotServed,
    forecast,
)
from buswalk.domain.registers.point import LAST_REGISTER_ADDRESS
from buswalk.domain.registers.profile import Block
from buswalk.domain.search.events import LivingLine
from buswalk.domain.visit.session_events import JobEnded, JobStarted, SessionStarted
from buswalk.domain.watching.waits import wait_for_s
from buswalk.ui.pages.registers.known_devices import KnownDevice
from buswalk.ui.pages.registers.point_words import TABLE_WORDS
from buswalk.ui.pages.registers.registers_state import Chooser, LearnState
from buswalk.ui.pages.registers.shown_list import TABLES
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone
from buswalk.ui.wording import duration, plural

LEARN_JOB = "learn"
SHORTEST_SPANS = (1, 4, 10)
CAUTION = (
    "Reading what no list describes can clear counters, acknowledge alarms or latch values. Know what hangs on this "
    "device; local rules and licensed practice come first. Functions 01 to 04 only: nothing is written."
)
LIVING = "Another client is alive: nothing was asked. Tick that it may be disturbed, and learn again."


@dataclass(frozen=True, slots=True)
class LearnForm:
    """What is to be learnt, as typed; addresses as sent, from 0."""

    table: int = 0
    first: str = "0"
    last: str = "199"
    span: int = 1
    why_safe: str = ""
    may_disturb: bool = False


class NotLearnt(Exception):
    """What was typed is no plan. Its text is one sentence."""


class LearnDesk:
    """Knows what was learnt of each device in this session."""

    def __init__(self) -> None:
        self.form = LearnForm()
        self._spans: dict[int, list[tuple[Block, bool]]] = {}
        self._begun: set[int] = set()
        self._told, self._tone = "", Tone.INK2
        self._asked = 0
        self._is_running = False
        self._is_ours = False
        self._is_living = False

    # The stream

    def take(self, event: object) -> None:
        """Take an event of the stream."""
        match event:
            case SessionStarted():
                self._spans.clear()
                self._begun.clear()
                self._is_running = self._is_living = False
            case JobStarted(name=name):
                self._is_running = name == LEARN_JOB
            case JobEnded(name=name):
                if name == LEARN_JOB:
                    self._ended()
            case LivingLine():
                self._is_living = self._is_ours
            case LearningBegan(server_address=address):
                self._begun.add(address)
                self._is_living = False
            case MapProgress():
                self._progress(event)
            case MapLearnt():
                self._learnt(event)
            case TableNotServed(table=table):
                words = f"{TABLE_WORDS[table]}: function {table.read_function:02d} is unknown to the device"
                self.tell(f"{words} (exception 01).", Tone.REFUSE)
            case LearningGivenUp(sentence=sentence):
                self.tell(f"Given up: {sentence}. 'Go on' asks nothing twice.", Tone.DOUBT)
            case _:
                pass

    def _ended(self) -> None:
        self._is_running = self._is_ours = False
        if self._is_living:
            self.tell(LIVING, Tone.FOREIGN)
        elif self._told.endswith("so far."):
            self.tell(f"{self._told} Stopped; 'Go on' asks nothing twice.")

    def _progress(self, event: MapProgress) -> None:
        known = event.block.quantity - event.unknown
        left = event.forecast
        self.tell(
            f"{known} of {event.block.quantity} known, {event.readable} can be read, {plural(event.reads, 'read')}; "
            f"{duration(left.seconds_if_readable)} to {duration(left.seconds_if_absent)} left, so far."
        )

    def _learnt(self, event: MapLearnt) -> None:
        kept = [one for one in self._spans.get(event.server_address, []) if not _is_inside(one[0], event.block)]
        new = [(one, True) for one in event.spans] + [(one, False) for one in event.unclear]
        self._spans[event.server_address] = sorted(kept + new, key=lambda one: (one[0].table.value, one[0].first))
        readable = sum(one.quantity for one in event.spans)
        words = f"{readable} of {event.block.quantity} can be read, {plural(event.reads, 'read')}."
        if event.shortest_span > 1:
            words += f" Spans of fewer than {event.shortest_span} addresses may have been missed."
        if event.quantity_refused:
            words += f" {event.quantity_refused} in one request were refused, {event.largest_read} were read."
        if event.refuses_by_silence:
            words += " What is not there is refused by silence."
        self.tell(words)

    def tell(self, words: str, tone: Tone = Tone.INK2) -> None:
        """Say how it goes."""
        self._told, self._tone = words, tone

    # What the user does

    def command(self, device: KnownDevice, longest_turnaround_s: float, minimum_gap_s: float) -> StartLearning | None:
        """Return the command that learns; None, and say why, where what was typed is no plan."""
        try:
            plan = self._plan(device, self.form.why_safe)
        except NotLearnt as reason:
            self.tell(str(reason), Tone.DOUBT)
            return None
        self._is_ours = True
        wait_s = wait_for_s(longest_turnaround_s)
        return StartLearning(replace(plan, wait_s=wait_s, minimum_gap_s=minimum_gap_s), self.can_go_on(device))

    def can_go_on(self, device: KnownDevice) -> bool:
        """Whether something of this device was learnt in this session."""
        return device.server_address in self._begun

    def span(self, device: KnownDevice, row: int) -> Block | None:
        """Return the span of a row."""
        spans = self._spans.get(device.server_address, [])
        return spans[row][0] if 0 <= row < len(spans) else None

    def _plan(self, device: KnownDevice, why_safe: str) -> LearnPlan:
        first, last = (_address(one) for one in (self.form.first, self.form.last))
        if first > last:
            raise NotLearnt(f"Addresses go upward, not from {first} to {last}.")
        if not why_safe.strip():
            raise NotLearnt("Say why reading harms nothing here first: it is kept in the record.")
        block = Block(TABLES[self.form.table], first, last)
        try:
            return LearnPlan(
                device.server_address,
                device.settings,
                (block,),
                why_safe.strip(),
                shortest_span=SHORTEST_SPANS[self.form.span],
                may_ask_living_line=self.form.may_disturb,
            )
        except ValueError as reason:
            raise NotLearnt(f"{str(reason)[0].upper()}{str(reason)[1:]}.") from reason

    # What is shown

    def state(self, device: KnownDevice, beside: str = "") -> LearnState:
        """Return what the card shows; `beside` is what to know where another client was heard."""
        form = self.form
        tables = tuple(f"{TABLE_WORDS[one]}, function {one.read_function:02d}" for one in TABLES)
        spans = tuple(f"spans of {one} and more" if one > 1 else "every address" for one in SHORTEST_SPANS)
        return LearnState(
            tables=Chooser(tables, form.table),
            spans=Chooser(spans, form.span),
            first=form.first,
            last=form.last,
            why_safe=form.why_safe,
            caution=f"{CAUTION} {beside}".rstrip(),
            forecast=self._forecast(device),
            button="Go on learning" if self.can_go_on(device) else "Learn the map",
            is_running=self._is_running,
            has_living=self._is_living or form.may_disturb,
            may_disturb=form.may_disturb,
            told=self._told,
            tone=self._tone,
            rows=tuple(_row(*one) for one in self._spans.get(device.server_address, [])),
        )

    def _forecast(self, device: KnownDevice) -> str:
        try:
            plan = self._plan(device, "forecast")
        except NotLearnt as reason:
            return str(reason)
        return _forecast_words(forecast(plan.blocks, plan))


def _forecast_words(before: LearningForecast) -> str:
    least = f"{plural(before.reads_if_readable, 'read')}, {duration(before.seconds_if_readable)}, if all can be read"
    most = f"{plural(before.reads_if_absent, 'read')}, {duration(before.seconds_if_absent)}, if nothing can"
    return f"It takes {least}; {most}. Listens for 10 s first."


def _row(span: Block, is_readable: bool) -> Row:
    ends = f"{span.first}" if span.quantity == 1 else f"{span.first} to {span.last}"
    said = Cell("can be read") if is_readable else Cell("neither read nor refused", Tone.DOUBT)
    return (
        Cell(f"{TABLE_WORDS[span.table]} {ends}", weight=Weight.BOLD),
        Cell(str(span.quantity)),
        Cell(f"0x{span.first:04X} to 0x{span.last:04X}"),
        said,
    )


def _is_inside(span: Block, block: Block) -> bool:
    return span.table is block.table and block.first <= span.first and span.last <= block.last


def _address(text: str) -> int:
    plain = text.strip()
    if not (plain.isascii() and plain.isdigit()) or int(plain[:9]) > LAST_REGISTER_ADDRESS:
        raise NotLearnt(f"'{plain}' is no address as sent: 0 to {LAST_REGISTER_ADDRESS}.")
    return int(plain[:9])

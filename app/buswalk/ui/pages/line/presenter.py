"""Decides what the page Line shows and does. Plain Python."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from buswalk.bus.messages import ClosePort, Kept, MakeMark, StartEchoTest, StartListening, StreamItem
from buswalk.domain.line_events import ExchangeDone
from buswalk.domain.listening.events import Heard, ListeningEnded
from buswalk.domain.search.events import ListenedFirst, Verdict
from buswalk.domain.site.comparison import Sightings
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.visit.session_events import EchoTested, JobStarted, PlanKept, SessionStarted
from buswalk.ui.live.feed import Commands
from buswalk.ui.outcome_kinds import OutcomeKind
from buswalk.ui.pages.line.adapter_words import (
    AdapterState,
    AdapterSwitches,
    carried_told,
    direction_told,
    echo_told,
    latency_told,
    marks_told,
)
from buswalk.ui.pages.line.cable_state import cable_state
from buswalk.ui.pages.line.demo_record import DemoRecord
from buswalk.ui.pages.line.exchange_rows import ExchangeRows
from buswalk.ui.pages.line.hands import Hands
from buswalk.ui.pages.line.heard_words import (
    LISTEN_S,
    HeardState,
    Listened,
    Listening,
    listening_words,
    not_listened,
    perhaps_words,
    verdict_words,
)
from buswalk.ui.pages.line.line_sentence import Situation, line_sentence
from buswalk.ui.pages.line.line_state import ButtonState, LineState, OutcomesState
from buswalk.ui.pages.line.outcome_counts import Counts, OutcomeCounts
from buswalk.ui.pages.line.outcome_rows import outcome_rows, table_head
from buswalk.ui.pages.line.port_desk import PortDesk, PortForm
from buswalk.ui.pages.line_facts import LineFacts, PortStands, after
from buswalk.ui.wording import duration, stamp

LISTEN_JOB = "listen"
_MAIN_SOLID = (PortStands.NONE, PortStands.GIVEN_BACK)
"""While a port is lost or could not be had, the likely way on is in the shell's band."""


@dataclass(frozen=True, slots=True)
class LineWays:
    """Where this page can lead.

    Attributes:
        start_search: Show Find and begin a search.
        show_plan: Show the planned list.
    """

    start_search: Callable[[], None]
    show_plan: Callable[[], None]


class LinePresenter:
    """Takes the stream and what the user does; `state` is what is shown."""

    def __init__(self, commands: Commands, ways: LineWays) -> None:
        self._commands = commands
        self._ways = ways
        self._facts = LineFacts()
        self._now_s = 0.0
        self._counts = OutcomeCounts()
        self._sightings = Sightings()
        self._desk = PortDesk(commands)
        self._hands = Hands(commands)
        self._demo_record = DemoRecord(commands)
        self.exchanges = ExchangeRows()
        self._planned: tuple[PlannedDevice, ...] = ()
        self._switches = AdapterSwitches()
        self._echo: EchoTested | None = None
        self._listened: Listened | None = None
        self._listening: Listening | None = None
        self._asked_s = 0.0
        self._largest_lump = 0

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        was_held = self._facts.is_held
        self._facts = after(self._facts, item)
        self._counts.take(item)
        self._desk.take(item, self._facts)
        self._hands.take(item)
        self._demo_record.take(item)
        self.exchanges.take(item)
        if isinstance(item, Kept):
            self._sightings.take(item.event)
            self._take_event(item.event, item.at_s)
        if self._facts.is_held and not was_held:
            self._desk.close()

    def _take_event(self, event: object, at_s: float) -> None:
        match event:
            case SessionStarted():
                self._planned, self._echo, self._largest_lump = (), None, 0
                self._listened = self._listening = None
                self._switches = AdapterSwitches()
            case PlanKept(devices):
                self._planned = devices
            case EchoTested():
                self._echo = event
            case ExchangeDone(exchange):
                lumps = (len(one.data) for one in exchange.arrivals)
                self._largest_lump = max(self._largest_lump, *lumps, 0)
            case JobStarted(name=name):
                is_listening = name == LISTEN_JOB
                asked_s, self._asked_s = self._asked_s, 0.0
                self._listening = Listening(self._facts.settings, at_s, asked_s, 0) if is_listening else None
            case Heard(arrival) if self._listening is not None:
                count = self._listening.byte_count + len(arrival.data)
                self._listening = replace(self._listening, byte_count=count)
            case ListeningEnded(settings, seconds, verdict, byte_count, frames):
                self._listening = None
                self._listened = Listened(settings, seconds, verdict, byte_count, frames, at_s)
            case ListenedFirst(settings, seconds, verdict, byte_count):
                self._listened = Listened(settings, seconds, verdict, byte_count, (), at_s)
            case _:
                pass

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s
        self._counts.tick()
        self._desk.tick(is_wanted=self._shows_ports)

    @property
    def _shows_ports(self) -> bool:
        return self._desk.is_open or self._facts.stands in (PortStands.LOST, PortStands.NOT_HAD)

    # What the user does

    def choose_port(self) -> None:
        """Show where ports are chosen."""
        self._desk.show()

    def leave_ports(self) -> None:
        """Go back to the line."""
        self._desk.close()

    def choose_row(self, index: int) -> None:
        """Choose one of the listed ports."""
        self._desk.choose_row(index)

    def write_form(self, form: PortForm) -> None:
        """Take what stands in the entries."""
        self._desk.write(form)

    def open_port(self) -> None:
        """Take the chosen port."""
        self._desk.open(self._facts)

    def port_button(self) -> None:
        """Do what the button of the port says."""
        if self._desk.is_open:
            self.leave_ports()
        elif self._facts.is_held and not self._facts.is_simulated:
            self._commands.send(ClosePort())
        else:
            self.choose_port()

    def listen(self) -> None:
        """Listen without sending one byte."""
        if not self._refused() and self._facts.settings is not None:
            self._asked_s = LISTEN_S
            self._commands.send(StartListening(LISTEN_S, self._facts.settings))

    def test_echo(self) -> None:
        """Find out whether the port hears itself."""
        if not self._refused():
            self._commands.send(StartEchoTest())

    def note_switches(self, switches: AdapterSwitches) -> None:
        """Keep how the adapter's switches stand, as a mark."""
        if switches != self._switches:
            self._switches = switches
            self._commands.send(MakeMark(switches.mark))

    def show_plan(self) -> None:
        """Show the planned list."""
        self._ways.show_plan()

    @property
    def hands(self) -> Hands:
        """The hands on a simulated line."""
        return self._hands

    @property
    def demo_record(self) -> DemoRecord:
        """The record of a demo line, to be kept."""
        return self._demo_record

    def main_action(self) -> None:
        """F5: open the chosen port, search on a demo line, listen on a real one, choose a port where there is none."""
        if self._desk.is_open:
            self.open_port()
        elif not self._facts.is_held:
            self.choose_port()
        elif self._facts.is_simulated:
            if not self._facts.job:
                self._ways.start_search()
        else:
            self.listen()

    def _refused(self) -> str:
        if not self._facts.is_held:
            return "no port is open"
        if self._facts.job:
            return f"a job is running ({self._facts.job}): stop it first with Esc"
        return ""

    # What is shown

    @property
    def state(self) -> LineState:
        """All that is shown."""
        facts = self._facts
        counts = self._counts.counts(self._now_s)
        cable = cable_state(self._planned, self._sightings, self._switches, self._held_words(), facts.job)
        heard = self._heard(counts)
        sentence, tone = line_sentence(self._situation(counts, cable.sentence, heard.headline))
        return LineState(
            sentence=sentence,
            tone=tone,
            main=self._main_button(),
            is_main_solid=self._desk.is_open or facts.stands in _MAIN_SOLID or (facts.is_simulated and facts.is_held),
            port=self._port_button(),
            ports=self._desk.state(facts) if self._desk.is_open else None,
            cable=cable,
            outcomes=OutcomesState(
                table_head(counts, has_asked=self._counts.has_asked),
                outcome_rows(counts, facts.traits, facts.wall_time),
            ),
            adapter=self._adapter(),
            heard=heard,
            hands=self._hands.state if self._hands.are_offered and facts.is_simulated else None,
            demo_record=self._demo_record.state,
        )

    def _situation(self, counts: Counts, answering: str, heard_headline: str) -> Situation:
        return Situation(
            facts=self._facts,
            now_s=self._now_s,
            is_choosing=self._desk.is_open,
            has_asked=self._counts.has_asked,
            is_listening=self._listening is not None,
            verdict=None if self._listened is None else self._listened.verdict,
            foreign=counts.by_kind[OutcomeKind.FOREIGN_FRAME],
            answering=answering,
            heard_headline=heard_headline,
        )

    def _held_words(self) -> str:
        """Return since when the line is ours, or when it was given back."""
        facts = self._facts
        taken = stamp(facts.wall_time, facts.held_from_s)
        match facts.stands:
            case PortStands.HELD | PortStands.LOST if taken:
                return f"taken at {taken}"
            case PortStands.GIVEN_BACK if taken:
                back = stamp(facts.wall_time, facts.changed_s)
                return f"taken at {taken}, given back at {back}, after {duration(facts.changed_s - facts.held_from_s)}"
            case _:
                return ""

    def _main_button(self) -> ButtonState:
        if self._desk.is_open:
            refused = self._desk.refused(self._facts)
            return ButtonState(self._desk.state(self._facts).open_words, "F5", refused)
        if not self._facts.is_held:
            return ButtonState("Choose a port…", "F5" if self._facts.stands in _MAIN_SOLID else "")
        if self._facts.is_simulated:
            return ButtonState("Search", "F5", self._refused())
        return ButtonState("Listen", "F5", self._refused())

    def _port_button(self) -> ButtonState:
        if self._desk.is_open:
            return ButtonState("Leave it as it is")
        if self._facts.is_held and not self._facts.is_simulated:
            return ButtonState("Close port", "", self._refused())
        if not self._facts.is_held:
            return ButtonState("")
        return ButtonState("Open port…", "Ctrl+O")

    def _adapter(self) -> AdapterState | None:
        traits = self._facts.traits
        if traits is None:
            return None
        handed = latency_told(traits, self._largest_lump)
        told = [echo_told(traits, self._echo), handed, marks_told(traits), carried_told(traits)]
        if not traits.is_simulated:
            told.append(direction_told(self._desk.opened_with.direction))
        return AdapterState(
            aside=self._facts.adapter,
            told=tuple(told),
            switches=self._switches,
            test_words="Test the echo" if self._echo is None else "Test the echo again",
            test_refused=self._refused(),
        )

    def _heard(self, counts: Counts) -> HeardState:
        aside = ""
        foreign = counts.by_kind[OutcomeKind.FOREIGN_FRAME]
        if self._listening is not None:
            said = listening_words(self._listening, self._now_s)
        elif self._listened is not None and (self._listened.verdict is not Verdict.SILENT or not foreign):
            said = verdict_words(self._listened)
            aside = f"heard at {stamp(self._facts.wall_time, self._listened.at_s)}" if self._facts.wall_time else ""
        elif foreign:
            first_at = stamp(self._facts.wall_time, counts.first_foreign_s or 0.0)
            said = perhaps_words(foreign, first_at)
        else:
            said = not_listened()
        headline, tone, shape, words = said
        again = "Listen again" if self._listened is not None else "Listen"
        return HeardState(aside, headline, tone, shape, words, again, self._refused())

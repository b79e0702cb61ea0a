"""Choosing and opening a port: which there are, by adapter; settings, expert settings. Plain Python."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from buswalk.bus.messages import ListPorts, OpenPort, PortListed, PortsListed, StreamItem
from buswalk.domain.line.port_options import USUAL_OPTIONS, Direction, PortOptions
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.site.list_cells import CannotBe, number_of, speed_of
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.line_facts import LineFacts, PortStands
from buswalk.ui.table_cells import Cell, Row, Weight
from buswalk.ui.tones import Tone

SPEEDS = (1200, 2400, 4800, 9600, 19200, 38400, 57600, 76800, 115200)
FRAMINGS = ("8N1", "8N2", "8E1", "8O1", "7E1", "7O1")
USUAL_SPEED, USUAL_FRAMING = 9600, "8N1"
DIRECTIONS = (Direction.HARDWARE, Direction.RTS, Direction.KERNEL)
DIRECTION_WORDS = ("by itself (usual)", "by RTS", "by the system's driver")
DEMO_PORT = "demo:greenhouse-first-day"
TICKS_BETWEEN_LISTS = 20
"""Ports are listed at most every 2 s; ticks come ten times a second of real time."""
LONGEST_CONNECT_S = 60.0
NOT_ON_USB = "not on USB"
EXAMPLES = "COM5, /dev/ttyUSB0, rfc2217://host:port, socket://host:port, demo:NAME, sim:FILE"


@dataclass(frozen=True, slots=True)
class PortForm:
    """What the user has chosen.

    Attributes:
        speed: As chosen or typed.
        connect_s: As typed.
    """

    port: str = ""
    speed: str = str(USUAL_SPEED)
    framing: str = USUAL_FRAMING
    options: PortOptions = USUAL_OPTIONS
    connect_s: str = "5"
    shows_expert: bool = False


@dataclass(frozen=True, slots=True)
class PortsState:
    """The pane where ports are chosen.

    Attributes:
        chosen: Row of the port that is written; -1 if it is none of them.
        open_words, open_refused: Of the button.
        caution: What one of the expert settings does; empty for none.
    """

    aside: str
    rows: tuple[Row, ...]
    chosen: int
    form: PortForm
    open_words: str
    open_refused: str
    caution: str


@dataclass(slots=True)
class PortDesk:
    """Lists ports while it is looked at, and opens what is chosen."""

    commands: Commands
    is_open: bool = False
    """Whether the pane is shown."""
    form: PortForm = field(default_factory=PortForm)
    opened_with: PortOptions = USUAL_OPTIONS
    """Expert settings of the port that was opened last."""
    _ports: tuple[PortListed, ...] = ()
    _is_listed: bool = False
    _ticks_to_list: int = 0
    _own_adapters: frozenset[str] = frozenset()

    # The stream

    def take(self, item: StreamItem, facts: LineFacts) -> None:
        """Take one item of the stream."""
        if isinstance(item, PortsListed):
            is_first, self._ports, self._is_listed = not self._is_listed, item.ports, True
            if is_first and self.form.port in ("", DEMO_PORT):
                self._write_likeliest()
        if facts.adapter and facts.adapter != NOT_ON_USB:
            self._own_adapters |= {facts.adapter}

    def tick(self, *, is_wanted: bool) -> None:
        """A tenth of a second has passed: list ports again where somebody looks at them."""
        self._ticks_to_list = max(0, self._ticks_to_list - 1)
        if is_wanted and self._ticks_to_list == 0:
            self._ticks_to_list = TICKS_BETWEEN_LISTS
            self.commands.send(ListPorts())

    # What the user does

    def show(self) -> None:
        """Open the pane; the likeliest port is written already."""
        self.is_open = True
        if not self.form.port:
            self._write_likeliest()

    def _write_likeliest(self) -> None:
        """Write the port that is most probably meant: an adapter, if there is one."""
        usable = [port for port in self._listed() if port.port != DEMO_PORT]
        if usable:
            self.form = replace(self.form, port=usable[0].port)

    def close(self) -> None:
        """Close the pane."""
        self.is_open = False

    def choose_row(self, index: int) -> None:
        """Choose one of the listed ports."""
        listed = self._listed()
        if 0 <= index < len(listed):
            self.form = replace(self.form, port=listed[index].port)

    def write(self, form: PortForm) -> None:
        """Take what stands in the entries."""
        self.form = form

    def open(self, facts: LineFacts) -> None:
        """Take the chosen port."""
        if self.refused(facts):
            return
        settings, options = self.settings(), self.options()
        if isinstance(settings, SerialSettings) and isinstance(options, PortOptions):
            self.opened_with = options
            self.commands.send(OpenPort(self.form.port.strip(), settings, options))

    # What is shown

    def settings(self) -> SerialSettings | CannotBe:
        """Return speed and framing as chosen."""
        speed = speed_of(self.form.speed)
        if isinstance(speed, CannotBe):
            return speed
        try:
            return SerialSettings.of(speed, self.form.framing)
        except ValueError as reason:
            return CannotBe(str(reason))

    def options(self) -> PortOptions | CannotBe:
        """Return the expert settings as chosen."""
        seconds = number_of(self.form.connect_s)
        if seconds is None or not 0 < seconds <= LONGEST_CONNECT_S:
            return CannotBe(f"a network port may take more than 0 and up to {LONGEST_CONNECT_S:.0f} s to answer")
        return replace(self.form.options, connect_timeout_s=seconds)

    def refused(self, facts: LineFacts) -> str:
        """Return why nothing can be opened now; empty if something can."""
        if facts.job:
            return f"a job is running ({facts.job}): stop it first with Esc"
        if not self.form.port.strip():
            return "no port is chosen: choose one or write its name"
        for one in (self.settings(), self.options()):
            if isinstance(one, CannotBe):
                return one.words
        return ""

    def state(self, facts: LineFacts) -> PortsState:
        """Return the pane."""
        listed = self._listed()
        written = self.form.port.strip()
        return PortsState(
            aside=self._aside(),
            rows=tuple(self._row(one, facts) for one in listed),
            chosen=next((i for i, one in enumerate(listed) if one.port == written), -1),
            form=self.form,
            open_words=f"Open {written}" if written else "Open port",
            open_refused=self.refused(facts),
            caution=_caution(self.form.options),
        )

    def _aside(self) -> str:
        if not self._is_listed:
            return "looking for ports"
        count = len(self._ports)
        return "no serial port is there; looked again every 2 s" if not count else "looked again every 2 s"

    def _listed(self) -> tuple[PortListed, ...]:
        """Adapters before ports that are built in, own ones first; the demo line last."""
        ordered = sorted(
            self._ports,
            key=lambda one: (one.adapter == NOT_ON_USB, one.adapter not in self._own_adapters, one.adapter, one.port),
        )
        return (*ordered, PortListed(DEMO_PORT, "a greenhouse on its first day", "built-in demo line"))

    def _row(self, one: PortListed, facts: LineFacts) -> Row:
        state, tone = "", Tone.INK2
        if one.port == facts.port and facts.is_held:
            state, tone = "held by this laptop", Tone.INK
        elif one.port == facts.port and facts.stands is PortStands.NOT_HAD:
            state, tone = "could not be opened", Tone.FAULT
        elif one.adapter in self._own_adapters:
            state = "your adapter"
        return (
            Cell(one.adapter),
            Cell(one.port, Tone.INK, Weight.BOLD),
            Cell(one.words, Tone.INK2),
            Cell(state, tone, Weight.BOLD if tone is Tone.FAULT else Weight.REGULAR),
        )


def _caution(options: PortOptions) -> str:
    if options.low_latency:
        return "Low latency changes the adapter for all programs until it is unplugged."
    if options.direction is Direction.RTS:
        return "RTS is as exact as this system: a late release cuts off the first bytes of fast devices."
    if not (options.dtr and options.rts):
        return "Some adapters take their supply from DTR and RTS and are deaf without them."
    return ""

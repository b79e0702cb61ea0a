"""Decides what the page Plan shows and does. Plain Python."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable
from dataclasses import replace

from buswalk.bus.messages import Done, KeepPlan, Kept, Refused, StartSearch, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import Found, SearchPlan
from buswalk.domain.search.prior import asked_as
from buswalk.domain.site.comparison import Compared, PlannedState, Sightings, alike
from buswalk.domain.site.list_text import rows_of_text
from buswalk.domain.site.plan_check import check_plan
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.site.planned_list import DraftDevice, DraftRead, draft_of, read_list
from buswalk.domain.visit.session_events import PlanKept, PortOpened, SessionStarted
from buswalk.ui.band_state import BandState
from buswalk.ui.live.feed import Commands
from buswalk.ui.pages.line_facts import LineFacts, PortStands, after
from buswalk.ui.pages.page import RailNote
from buswalk.ui.pages.plan.brought_in import BroughtIn, preview_of
from buswalk.ui.pages.plan.list_files import PlanFiles
from buswalk.ui.pages.plan.plan_editor import PlanColumn, PlanEditor
from buswalk.ui.pages.plan.plan_rows import plan_row, strangers_state
from buswalk.ui.pages.plan.plan_state import CheckItem, PlaceState, PlanState
from buswalk.ui.pages.plan.plan_words import check_items, place_state, plan_sentence
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

NO_ROW = "Choose a row first: its switches are shown then."
NO_ADDRESS = "This row has no address yet: write one, and its switches can be shown."
HEADS = ("place", "address", "device", "setting", "board", "where", "now")


class PlanPresenter:
    """Takes the stream and what the user does; `state` is what is shown."""

    def __init__(
        self,
        commands: Commands,
        files: PlanFiles,
        show_switches: Callable[[PlannedDevice], None] = lambda _device: None,
        show_registers: Callable[[int], None] = lambda _address: None,
    ) -> None:
        self._commands = commands
        self._files = files
        self._show_registers = show_registers
        self._show_switches = show_switches
        self._editor = PlanEditor()
        self._sightings = Sightings()
        self._facts = LineFacts()
        self._brought: BroughtIn | None = None
        self._troubles: tuple[str, ...] = ()
        self._told = ""
        self._keeping: set[int] = set()
        self._not_kept = ""
        self._came_with_demo = False
        self._own_of_copper: tuple[DraftDevice, ...] = ()
        self._drawn: PlanState | None = None
        self._note: RailNote | None = None

    # The stream

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        self._facts = after(self._facts, item)
        match item:
            case Kept(event=event):
                self._take_event(event)
            case Done(command_id) if command_id in self._keeping:
                self._keeping.discard(command_id)
                self._not_kept = ""
            case Refused(command_id, sentence) if command_id in self._keeping:
                self._keeping.discard(command_id)
                self._not_kept = sentence
            case _:
                return
        self._drawn = self._note = None

    def tick(self, line_time_s: float) -> None:
        """Nothing on this page passes with time."""

    def _take_event(self, event: object) -> None:
        self._sightings.take(event)
        match event:
            case SessionStarted(is_simulated=is_simulated):
                self._change_line(is_simulated=is_simulated)
            case PortOpened() if not self._facts.is_simulated and self._editor.devices:
                self._keep()
            case PlanKept(devices) if not self._keeping and devices != self._editor.devices:
                self._editor.adopt("the list that came with the line", devices)
            case _:
                pass

    def _change_line(self, *, is_simulated: bool) -> None:
        """A demo line brings its own list; that of the real line is kept aside meanwhile, and comes back with it."""
        self._keeping.clear()
        was_simulated = self._came_with_demo
        self._came_with_demo = is_simulated
        if is_simulated and not was_simulated:
            self._own_of_copper = self._editor.drafts
            self._editor = PlanEditor()
        elif was_simulated:
            self._editor = PlanEditor()
            if not is_simulated and self._own_of_copper:
                self._editor.replace_all("the list of this line", self._own_of_copper)

    # What the user does

    def choose(self, index: int) -> None:
        """Choose a row."""
        if index != self._editor.chosen:
            self._editor.choose(index)
            self._drawn = None

    def edit(self, index: int, column: PlanColumn, text: str) -> None:
        """Write a cell."""
        self._changed(is_changed=self._editor.edit(index, column, text))

    def insert(self) -> None:
        """Put an empty row behind the chosen one."""
        self._changed(is_changed=self._editor.insert())

    def delete(self) -> None:
        """Take the chosen row out."""
        self._changed(is_changed=self._editor.delete())

    def move(self, step: int) -> None:
        """Move the chosen row along the cable."""
        self._changed(is_changed=self._editor.move(step))

    def undo(self) -> None:
        """Take back the last act."""
        self._changed(is_changed=self._editor.undo())

    def redo(self) -> None:
        """Do again what was taken back."""
        self._changed(is_changed=self._editor.redo())

    def paste(self, text: str) -> None:
        """Take rows from the clipboard, as spreadsheets put them there; one undo takes them away again."""
        if not text.strip():
            return
        read = read_list("pasted", rows_of_text(text))
        self._told = "" if read.drafts else "Nothing was pasted."
        is_changed = self._editor.add(f"paste of {plural(len(read.drafts), 'row')}", read.drafts)
        self._changed(is_changed=is_changed)
        self._troubles = tuple(str(one) for one in read.troubles)

    def bring_in(self) -> None:
        """Let the user choose a file, and show what is in it before anything is taken."""
        chosen = self._files.choose_list()
        if chosen is None:
            return
        self._drawn, self._told = None, ""
        if chosen.problem:
            self._troubles = (chosen.problem,)
            return
        self._troubles = ()
        self._brought = BroughtIn(chosen.source, read_list(chosen.source, chosen.rows))

    def take_brought_in(self) -> None:
        """Put the list that is shown in place of this one."""
        if self._brought is not None:
            brought, self._brought = self._brought, None
            act = f"taking {brought.source}"
            self._changed(is_changed=self._editor.replace_all(act, brought.read.drafts))
            self._troubles = tuple(str(one) for one in brought.read.troubles)

    def add_brought_in(self) -> None:
        """Put the list that is shown behind this one."""
        if self._brought is not None:
            brought, self._brought = self._brought, None
            self._editor.choose(len(self._editor.drafts) - 1)
            self._changed(is_changed=self._editor.add(f"adding {brought.source}", brought.read.drafts))
            self._troubles = tuple(str(one) for one in brought.read.troubles)

    def leave_brought_in(self) -> None:
        """Take nothing of the list that is shown."""
        self._brought = None
        self._drawn = None

    def dismiss_troubles(self) -> None:
        """What was said of a list has been read."""
        self._troubles = ()
        self._drawn = None

    def take_strangers(self) -> None:
        """Put everything that answers and is not planned at the end of the list."""
        found = self._sightings.strangers(self._editor.devices)
        drafts = tuple(_draft_of_found(one) for one in found)
        self._editor.choose(len(self._editor.drafts) - 1)
        self._changed(is_changed=self._editor.add(f"taking {plural(len(found), 'found device')}", drafts))

    def export(self) -> None:
        """Write the list with what is known now to a file."""
        rows = [HEADS, *(tuple(cell.words for cell in row) for row in self.state.rows)]
        said = self._files.save_list("planned-list.csv", rows)
        self._told = f"{said[0].upper()}{said[1:].removesuffix('.')}." if said else ""
        self._drawn = None

    def to_registers(self) -> None:
        """F4: to the registers of the device in the chosen row."""
        reads, chosen = self._editor.reads, self._editor.chosen
        device = reads[chosen].device if 0 <= chosen < len(reads) else None
        if device is not None:
            self._show_registers(device.server_address)

    def to_switches(self) -> None:
        """F7: to the switches of the device in the chosen row."""
        reads, chosen = self._editor.reads, self._editor.chosen
        device = reads[chosen].device if 0 <= chosen < len(reads) else None
        if device is not None:
            self._show_switches(device)
            return
        self._told = NO_ADDRESS if 0 <= chosen < len(reads) else NO_ROW
        self._drawn = None

    def main_action(self) -> None:
        """Ask the planned addresses at the planned settings; take the list while one is shown; bring one in if none."""
        if self._brought is not None:
            if self._brought.read.drafts:
                self.take_brought_in()
        elif not self._editor.drafts:
            self.bring_in()
        elif not self._refused():
            self._commands.send(StartSearch(_check_plan(self._editor.devices)))

    def _changed(self, *, is_changed: bool) -> None:
        self._drawn = self._note = None
        if is_changed:
            self._troubles, self._told = (), ""
            self._keep()

    def _keep(self) -> None:
        self._keeping.add(self._commands.send(KeepPlan(self._editor.devices)))

    # What is shown

    @property
    def note(self) -> RailNote:
        """How many of the planned devices answer."""
        if self._note is None:
            self._note = self._count()
        return self._note

    def _count(self) -> RailNote:
        total = len(self._editor.drafts)
        if not total:
            return RailNote()
        states = Counter(one.state for one in self._compared())
        answering = total - states[PlannedState.NOT_ASKED] - states[PlannedState.SILENT] - states[PlannedState.QUIET]
        answering -= total - len(self._editor.devices)
        is_asked = states[PlannedState.NOT_ASKED] < len(self._editor.devices)
        return RailNote(f"{answering} of {total}" if is_asked else str(total))

    @property
    def state(self) -> PlanState:
        """All that is shown."""
        if self._drawn is None:
            self._drawn = self._draw()
        return self._drawn

    def _compared(self) -> list[Compared]:
        return [self._sightings.compare(device) for device in self._editor.devices]

    def _draw(self) -> PlanState:
        drafts = self._editor.drafts
        reads = self._editor.reads
        compared = {one.device.place: one for one in self._compared()}
        strangers = self._sightings.strangers(self._editor.devices)
        open_places = [place for place, read in enumerate(reads, start=1) if read.device is None]
        sentence, tone = self._sentence(list(compared.values()), len(open_places), len(strangers))
        addresses = Counter(device.server_address for device in self._editor.devices)
        return PlanState(
            sentence=sentence,
            sentence_tone=tone,
            title=f"Planned devices: {len(drafts)}",
            rows=tuple(
                plan_row(place, draft, read, compared.get(place), addresses)
                for place, (draft, read) in enumerate(zip(drafts, reads, strict=True), start=1)
            ),
            chosen=self._editor.chosen,
            checks=self._checks(open_places),
            place=self._place(reads, compared),
            strangers=strangers_state(strangers),
            band=self._band(),
            troubles=self._troubles if self._brought is None else (),
            preview=None if self._brought is None else preview_of(self._brought, drafts),
            main_refused=self._refused(),
            undo_words=self._editor.undoes,
            told=self._told,
        )

    def _sentence(self, compared: list[Compared], open_rows: int, strangers: int) -> tuple[str, Tone]:
        if not self._editor.drafts:
            beside = f" {plural(strangers, 'answers', 'answer')} already." if strangers else ""
            return f"Nothing is planned yet.{beside}", Tone.INK2
        return plan_sentence(compared, open_rows, strangers), Tone.INK2

    def _checks(self, open_places: list[int]) -> tuple[CheckItem, ...]:
        if not self._editor.drafts:
            return ()
        return check_items(check_plan(self._editor.devices), open_places)

    def _place(self, reads: tuple[DraftRead, ...], compared: dict[int, Compared]) -> PlaceState | None:
        chosen = self._editor.chosen
        if not 0 <= chosen < len(reads):
            return None
        read = reads[chosen]
        if read.device is not None:
            return place_state(compared[chosen + 1], read.open_points, self._facts.wall_time)
        draft = self._editor.drafts[chosen]
        return PlaceState(
            title=f"Place {chosen + 1}",
            name=draft.name or "no name yet",
            address=draft.address or "none",
            answers="cannot be asked",
            answers_tone=Tone.DOUBT,
            facts=(),
            open_points=read.open_points,
        )

    def _band(self) -> BandState | None:
        if not self._not_kept or not self._editor.drafts:
            return None
        if self._facts.stands in (PortStands.NONE, PortStands.NOT_HAD, PortStands.GIVEN_BACK):
            words = "It stays on this page, and is kept in the record as soon as a port is open."
            return BandState(Tone.DOUBT, "This list is not in a record yet", words)
        return BandState(Tone.FAULT, "This list could not be kept", f"{self._not_kept}.")

    def _refused(self) -> str:
        if not self._facts.is_held:
            return "no port is open"
        if self._facts.job:
            return f"a job is running ({self._facts.job}): stop it first with Esc"
        devices = self._editor.devices
        if not devices:
            return "no planned device has an address yet"
        if all(device.settings is None for device in devices):
            return "no planned device has a setting: write one, or search on Find"
        return ""


def _draft_of_found(found: Found) -> DraftDevice:
    names = " ".join(one.text for one in found.identity.objects if one.text)
    device = PlannedDevice(1, found.server_address, names or f"found at {found.server_address}", alike(found.settings))
    return replace(draft_of(device), where="")


def _check_plan(devices: tuple[PlannedDevice, ...]) -> SearchPlan:
    """Return the search that asks what is planned, and no more."""
    addresses = frozenset(device.server_address for device in devices)
    counts: Counter[SerialSettings] = Counter(
        asked_as(device.settings) for device in devices if device.settings is not None
    )
    weights = {settings: count / len(devices) for settings, count in counts.most_common()}
    return SearchPlan(addresses=tuple(sorted(addresses)), settings=weights, planned=addresses)

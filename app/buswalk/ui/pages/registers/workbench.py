"""Finding out and writing down: looks at a display, and changes of the list by what was found. Plain Python."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import Block, RegisterProfile
from buswalk.domain.visit.session_events import JobEnded
from buswalk.ui.pages.registers.describe_desk import EVERY_DEVICE, DescribeDesk, Edit, PointForm
from buswalk.ui.pages.registers.finder_desk import FinderDesk
from buswalk.ui.pages.registers.learn_desk import LEARN_JOB, LearnDesk, LearnForm
from buswalk.ui.pages.registers.list_desk import ListDesk
from buswalk.ui.pages.registers.reading_desk import ReadingDesk
from buswalk.ui.pages.registers.registers_state import DescribeState
from buswalk.ui.pages.registers.shown_list import NOTHING_LISTED, ShownList
from buswalk.ui.pages.registers.ways import RegistersWays
from buswalk.ui.pages.registers.word_store import WordStore
from buswalk.ui.tones import Tone
from buswalk.ui.wording import plural

FRESH_S = 5.0
"""While a device is watched, words of the last seconds are what its display shows (judgement, no source)."""
NOTHING_CHOSEN = "Choose what fits in the table first."
OWN = "own-"


@dataclass(frozen=True, slots=True)
class BenchHooks:
    """What the workbench asks of the page.

    Attributes:
        read_now: Read all that is listed once; why not, or empty.
        point: The focused point.
        now_s: The line time.
        changed: What is shown may be another now.
        shift: Shift the whole list by so many registers.
        show_raw: Show these addresses without a profile.
        list_changes: Another list is about to be shown for the device at an address.
    """

    read_now: Callable[[], str]
    point: Callable[[], Point | None]
    now_s: Callable[[], float]
    changed: Callable[[], None]
    shift: Callable[[int], None]
    show_raw: Callable[[Block], None]
    list_changes: Callable[[int], None]


class Workbench:
    """Joins the words that were read, the looks and the changes for the device that is shown."""

    def __init__(self, shown: ShownList, reading: ReadingDesk, ways: RegistersWays, hooks: BenchHooks) -> None:
        self._list = shown
        self._reading = reading
        self._ways = ways
        self._hooks = hooks
        self.words = WordStore()
        self.finder = FinderDesk()
        self.describe = DescribeDesk()
        self.map = LearnDesk()
        self.lists = ListDesk()
        self._since_s = 0.0
        self._point: Point | None = None

    def take(self, event: object) -> None:
        """Take an event of the stream: a look that waited for a reading is taken at its end."""
        self.words.take(event)
        self.map.take(event)
        if isinstance(event, JobEnded) and self.finder.is_waiting:
            self._look()

    # Looking

    def look(self, text: str) -> None:
        """Compare what a display shows now with what the device holds now."""
        device, now_s = self._list.device, self._hooks.now_s()
        self._hooks.changed()
        if device is None or not self.finder.want(device.server_address, text):
            return
        self._point = self._hooks.point()
        if self._reading.reads(device.server_address) and not self._reading.is_listening:
            self._since_s = now_s - FRESH_S
            self._look()
            return
        self._since_s = now_s
        refusal = self._hooks.read_now()
        if refusal:
            self.finder.begin_anew(device.server_address)
            self.finder.tell(f"{refusal[0].upper()}{refusal[1:]}.", Tone.DOUBT)

    def _look(self) -> None:
        device = self._list.device
        if device is not None:
            read = self.words.read_since(device.server_address, self._since_s)
            self.finder.look(read, self._list.profile(), self._point)

    def begin_anew(self) -> None:
        """Forget the looks."""
        if self._list.device is not None:
            self.finder.begin_anew(self._list.device.server_address)
        self._hooks.changed()

    def choose(self, row: int) -> None:
        """Choose one of the meanings that fit."""
        self.finder.choose(row)

    def shift_as_found(self) -> None:
        """Shift the whole list as the looks propose."""
        self._hooks.shift(self.finder.registers_shift)

    def take_meaning(self, words: str) -> None:
        """Put the chosen meaning into the list under a name."""
        self._hooks.changed()
        meaning, device = self.finder.meaning, self._list.device
        if meaning is None or device is None:
            self.finder.tell(NOTHING_CHOSEN, Tone.DOUBT)
            return
        profile = self._list.base_profile()
        if profile is None:
            profile = RegisterProfile(f"{OWN}{device.server_address}", f"own list of {device.server_address}", ())
            self._list.add(profile)
        self._use(self.describe.add(profile, meaning, words))
        self.finder.tell("Taken into the list; it is kept with 'Keep as own profile' under Describe.")

    # Describing

    def change(self, form: PointForm) -> None:
        """Change the description of the focused point."""
        point = self._hooks.point()
        self._hooks.changed()
        profile = self._list.base_profile()
        if profile is not None and point is not None:
            own = next((one for one in profile.points if one.name == point.name), None)
            if own is not None:
                self._use(self.describe.change(profile, own, form))

    def undo(self) -> None:
        """Ctrl+Z: take back the last change of a list, never a write."""
        self._hooks.changed()
        edit = self.describe.undo()
        if edit is None:
            return
        self._use(edit.profile)
        if edit.shown_for != EVERY_DEVICE:
            self._hooks.list_changes(edit.shown_for)
            self._list.choose_name(edit.profile.name, edit.shown_for)
            self._list.shift(edit.shift, edit.shown_for)

    def keep(self, name: str) -> None:
        """Keep the list as a profile of one's own, and use it."""
        self._hooks.changed()
        profile, device = self._list.base_profile(), self._list.device
        if profile is None or device is None:
            self.describe.tell("There is no list to keep: raw addresses have no description.", Tone.DOUBT)
            return
        own = replace(profile, name=name.strip(), title=self._own_title(profile))
        said = self._ways.save_profile(own)
        self.describe.tell(said)
        library = self._ways.library()
        if any(one.name == own.name for one in library.profiles):
            self._list.forget_edit(profile.name)
            self._list.choose_name(own.name, device.server_address)
        self._list.use_library(library)

    @staticmethod
    def _own_title(profile: RegisterProfile) -> str:
        return profile.title if profile.title.endswith(", own") else f"{profile.title}, own"

    def describe_state(self, point: Point | None) -> DescribeState:
        """Return the form for a point, and how a list is exported."""
        state = self.describe.state(self._list.base_profile(), point)
        return replace(state, export_notations=self.lists.export_notations())

    # Lists in and out

    def bring_in(self) -> None:
        """Let the user choose a list, and show what it is taken for."""
        chosen = self._ways.choose_points()
        self._hooks.changed()
        if chosen is not None:
            problem = self.lists.bring_in(chosen)
            self.describe.tell(problem, Tone.DOUBT if problem else Tone.INK2)

    def choose_sheet(self, index: int) -> None:
        """Read another sheet of the workbook that was brought in; what cannot be read leaves the one that is shown."""
        other = self.lists.other_sheet(index)
        self._hooks.changed()
        if other is not None:
            chosen = self._ways.read_sheet(*other)
            if chosen.problem:
                self.describe.tell(f"Not read: {chosen.problem}.", Tone.DOUBT)
            else:
                self.lists.bring_in(chosen)

    def correct_list(self, correct: Callable[[int], None]) -> Callable[[int], None]:
        """Return what reads the list that was brought in anew, by one correction of its desk."""

        def corrected(index: int) -> None:
            correct(index)
            self._hooks.changed()

        return corrected

    def take_list(self) -> None:
        """Show the device by the points of the list that was brought in."""
        points, device = self.lists.points, self._list.device
        self._hooks.changed()
        if not points or device is None:
            return
        self._hooks.list_changes(device.server_address)
        what = f"{plural(len(points), 'point')} of {self.lists.source} taken"
        before = self._list.base_profile() or NOTHING_LISTED
        self.describe.change_list(Edit(before, what, device.server_address, self._list.shift_now))
        name = self._list.free_name(self.lists.own_name)
        self._list.add(RegisterProfile(name, self.lists.title, points))
        self.lists.leave()

    def leave_list(self) -> bool:
        """Leave the list that was brought in as it is; tell whether there was one."""
        self._hooks.changed()
        return self.lists.leave()

    def choose_export_notation(self, index: int) -> None:
        """Take how addresses are written in an exported list."""
        self.lists.choose_export_notation(index)
        self._hooks.changed()

    def export(self) -> None:
        """Let the user choose a new file for the points that are shown."""
        profile = self._list.profile()
        self._hooks.changed()
        if self._list.device is None:
            return
        if not profile.points:
            self.describe.tell("There is no point to export.", Tone.DOUBT)
            return
        said = self._ways.save_points(f"{profile.name}.csv", self.lists.exported(profile.points))
        if said:
            words = f"{plural(len(profile.points), 'point')}, {self.lists.export_notation.value}"
            self.describe.tell(f"Export of {words}: {said}.")

    # Learning

    def change_map(self, form: LearnForm) -> None:
        """Take what is to be learnt."""
        self.map.form = form
        self._hooks.changed()

    def learn(self) -> None:
        """Learn the map, or go on."""
        device, running = self._list.device, self._reading.jobs.running
        self._hooks.changed()
        if device is None or running == LEARN_JOB:
            return
        if running and not self._reading.is_watching:
            self.map.tell(f"A job is running ({running}): stop it first, Esc.", Tone.DOUBT)
            return
        longest_s = self._reading.longest_turnaround_s(device.server_address)
        gap_s = self._list.profile().rules.minimum_gap_s
        command = self.map.command(device, longest_s, gap_s)
        if command is not None:
            self._reading.jobs.start(command, self._hooks.changed)

    def stop_learning(self) -> None:
        """Stop; what was learnt stands."""
        self._reading.jobs.stop()

    def open_span(self, row: int) -> None:
        """Show a span that was learnt as raw addresses."""
        device = self._list.device
        span = self.map.span(device, row) if device is not None else None
        if span is not None:
            self._hooks.show_raw(span)

    def _use(self, profile: RegisterProfile) -> None:
        self._list.edited[profile.name] = profile

"""Everything the window shows around pages, and which page is shown. Plain Python: the window only draws it."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from buswalk.bus.messages import AT_ONCE, AtTime, Batch, Command, Kept, MakeMark, Moment
from buswalk.domain.preferences import Preferences
from buswalk.domain.visit.session_events import JobEnded, PortOpened, PortReturned, SessionStarted
from buswalk.ui.live.feed import Commands, ProcessSaid
from buswalk.ui.pages.page import ChoosesPort, Page, PageName, ShellActions, ShowsExchanges
from buswalk.ui.shell.head_presenter import HeadPresenter
from buswalk.ui.shell.line_clock import LineClock
from buswalk.ui.shell.means_presenter import MeansPresenter
from buswalk.ui.shell.told_commands import ToldCommands
from buswalk.ui.sounds import ChosenSounds, Sounds
from buswalk.ui.strip.presenter import StripPresenter
from buswalk.ui.wording import stamp

KeepsPreferences = Callable[[Preferences], str]
"""Keeps them; returns '' or one sentence why they could not be kept."""

MakesPages = Callable[[Commands, ShellActions, Sounds], Sequence[Page]]
"""Makes the pages, in the order of their digits, with what they need of the shell."""


class ShellPresenter:
    """Joins strip, head line, bands and pages; takes the stream once for all of them."""

    def __init__(
        self,
        commands: Commands,
        make_pages: MakesPages,
        preferences: tuple[Preferences, KeepsPreferences],
        sounds: Sounds,
        real_now_s: Callable[[], float],
    ) -> None:
        self.commands = ToldCommands(commands, self._asked_for)
        self.preferences, self._keep = preferences
        self._sounds = ChosenSounds(sounds)
        self._sounds.is_wanted = self.preferences.has_sound
        self._clock = LineClock(real_now_s)
        self._wall_time = ""
        self._marked: Moment = AT_ONCE
        self.strip = StripPresenter()
        self.head = HeadPresenter()
        self.means = MeansPresenter(self.commands, self.choose_port)
        self.page_changed: Callable[[], None] = lambda: None
        self.port_wanted: Callable[[], None] = lambda: None
        self.mark_wanted: Callable[[], None] = lambda: None
        made = make_pages(self.commands, self._actions(), self._sounds)
        self.pages: dict[PageName, Page] = {page.name: page for page in made}
        self.current = next(iter(self.pages))

    def _actions(self) -> ShellActions:
        return ShellActions(self.go_to, self.choose_port, self.mark, self.means.say_left_alone)

    # The stream

    def take_batch(self, batch: Batch) -> None:
        """Take a batch: everybody takes each item before anybody takes the next."""
        self._clock.take(batch)
        self.head.take_batch(batch)
        for item in batch.items:
            self.strip.take(item)
            self.means.take(item)
            for page in self.pages.values():
                page.take(item)
            if isinstance(item, Kept):
                self._listen(item.event)

    def _listen(self, event: object) -> None:
        match event:
            case SessionStarted(wall_time=wall_time):
                self._wall_time = wall_time
            case PortReturned() | JobEnded():
                self._sounds.chime()
            case PortOpened(port=port, traits=traits) if not traits.is_simulated and port != self.preferences.last_port:
                self.prefer(replace(self.preferences, last_port=port))
            case _:
                pass

    def take_process(self, said: ProcessSaid) -> None:
        """Take what became of a process."""
        self.means.take_process(said)
        if said.ends_job:
            self.head.job.forget()

    def tick(self) -> None:
        """A tenth of a second has passed."""
        now_s = self._clock.now_s()
        self.strip.tick()
        self.head.tick(now_s)
        self.means.tick(now_s)
        for page in self.pages.values():
            page.tick(now_s)

    def _asked_for(self, command: Command) -> None:
        self.head.asked_for(command)
        self.means.asked_for(command)
        if self.head.job.wait_s:
            self.strip.use_wait(self.head.job.wait_s)

    # What the user does

    @property
    def page(self) -> Page:
        """The page that is shown."""
        return self.pages[self.current]

    def go_to(self, name: PageName) -> None:
        """Show another page; nothing where it is not built."""
        if name in self.pages and name is not self.current:
            self.current = name
            self.page_changed()

    def go_to_digit(self, digit: int) -> None:
        """Show the page of a digit."""
        for name in self.pages:
            if name.digit == digit:
                self.go_to(name)

    def main_action(self) -> None:
        """F5."""
        if not self.means.main_action():
            self.page.main_action()

    def stop(self) -> None:
        """Stop the job, if there is one."""
        if self.head.job.is_running:
            self.commands.stop()

    def choose_port(self) -> None:
        """Ctrl+O: show where ports are chosen."""
        self.go_to(PageName.LINE)
        line = self.pages.get(PageName.LINE)
        if isinstance(line, ChoosesPort):
            line.choose_port()
        self.port_wanted()

    def walk_abnormal(self, step: int) -> None:
        """F8, Shift+F8: show the page of faults with the next, or previous, exchange that was not clean."""
        faults = self.pages.get(PageName.FAULTS)
        if isinstance(faults, ShowsExchanges):
            self.go_to(PageName.FAULTS)
            faults.walk_abnormal(step)

    def open_exchange(self) -> None:
        """Enter on the strip: show the exchange under its cursor, or the last one, on the page of faults."""
        faults = self.pages.get(PageName.FAULTS)
        number = self.strip.chosen_number
        if number and isinstance(faults, ShowsExchanges):
            self.go_to(PageName.FAULTS)
            faults.show_exchange(number)

    def go_to_job(self) -> None:
        """Show the page that runs the job."""
        of_job = {
            "search": PageName.FIND,
            "ping": PageName.FIND,
            "who is quiet": PageName.FIND,
            "watch": PageName.FAULTS,
        }
        if self.head.job.is_running:
            self.go_to(of_job.get(self.head.job.name, PageName.LINE))

    def prefer(self, preferences: Preferences) -> None:
        """Keep a new choice; where it cannot be kept it holds until the window closes, and that is said."""
        self.preferences = preferences
        self._sounds.is_wanted = preferences.has_sound
        problem = self._keep(preferences)
        if problem:
            self.means.say_at_start((problem,))

    def mark(self) -> None:
        """A page's own button for marks was pressed."""
        self.mark_wanted()

    def begin_mark(self) -> str:
        """Ctrl+M: hold this moment; return its time of day."""
        self._marked = AtTime(self._clock.now_s())
        return stamp(self._wall_time, self._marked.at_s)

    def end_mark(self, words: str) -> None:
        """Keep the mark with its words; it begins where the key was pressed, for the words came later."""
        self.commands.send(MakeMark(words.strip() or "mark", self._marked))
        self._marked = AT_ONCE

"""Decides what the band under the page top says when means fail: port, record, processes, a refused command.

One band at a time, the worst first. Those of port and record go by themselves when all is well again.
"""

from __future__ import annotations

from collections.abc import Callable

from buswalk.bus.messages import Command, Kept, OpenPort, RecordTold, Refused, StreamItem
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.visit.session_events import (
    JobEnded,
    JobEndKind,
    JobStarted,
    PortClosed,
    PortFailed,
    PortOpened,
    PortReturned,
    SessionStarted,
)
from buswalk.ui.band_state import BandAction, BandState
from buswalk.ui.live.feed import Commands, ProcessSaid
from buswalk.ui.shell.head_presenter import short_port
from buswalk.ui.tones import Tone
from buswalk.ui.wording import stamp

LOOK_AGAIN, OTHER_PORT, CLOSE = "look_again", "other_port", "close"
_CLOSE = BandAction(CLOSE, "Close")


class MeansPresenter:
    """Takes the stream; says at most one thing."""

    def __init__(self, commands: Commands, choose_port: Callable[[], None]) -> None:
        self._commands = commands
        self._choose_port = choose_port
        self._wall_time = ""
        self._last_open: OpenPort | None = None
        self._settings: SerialSettings | None = None
        self._was_open = False
        self._lost: PortFailed | None = None
        self._job = ""
        self._record_problem = ""
        self._record_since = ""
        self._now_s = 0.0
        self._over = ""
        self._said: list[tuple[Tone, str, str]] = []
        self._left_alone: tuple[str, str] = ("", "")

    def say_at_start(self, sentences: tuple[str, ...]) -> None:
        """Show what the last start left to say, one after the other."""
        self._said += [(Tone.DOUBT, one, "") for one in sentences]

    def say_left_alone(self, headline: str, words: str) -> None:
        """Show who is asked by nobody any more, until that is changed or closed; '' takes it back."""
        self._left_alone = headline, words

    def asked_for(self, command: Command) -> None:
        """Take a command on its way: a refusal of the one before is of no interest any more."""
        self._said = [one for one in self._said if one[1] != NOT_DONE]
        if isinstance(command, OpenPort):
            self._last_open = command

    def take_process(self, said: ProcessSaid) -> None:
        """Take what became of a process."""
        if said.ends_job:
            self._job = ""
        if said.is_over:
            self._over = said.sentence
        else:
            self._said.append((Tone.DOUBT, "A part of buswalk was started again", sentence_case(said.sentence)))

    def tick(self, line_time_s: float) -> None:
        """Take the line time that it is now."""
        self._now_s = line_time_s

    def take(self, item: StreamItem) -> None:
        """Take one item of the stream."""
        match item:
            case Refused(sentence=sentence):
                is_of_port = self._lost is not None and sentence == self._lost.sentence
                if not is_of_port:
                    self._said = [(Tone.DOUBT, NOT_DONE, sentence_case(sentence))]
            case RecordTold(state):
                if state.problem and not self._record_problem:
                    self._record_since = stamp(self._wall_time, self._now_s)
                self._record_problem = state.problem
            case Kept(event=event):
                self._take_event(event)
            case _:
                pass

    def _take_event(self, event: object) -> None:
        match event:
            case SessionStarted(wall_time=wall_time):
                self._wall_time = wall_time
                self._was_open, self._lost, self._job = False, None, ""
            case PortOpened():
                self._was_open, self._lost = True, None
            case PortReturned() | PortClosed():
                self._lost = None
            case PortFailed() as failed:
                self._lost = failed
            case JobStarted(name=name):
                self._job = name
            case JobEnded(name=name, end=end, sentence=sentence):
                self._job = ""
                if end is JobEndKind.FAILED:
                    self._said.append((Tone.FAULT, f"The {name} has ended early", sentence_case(sentence)))
            case _:
                pass

    def pressed(self, name: str) -> None:
        """A button of the band was pressed."""
        match name:
            case "look_again":
                if self._last_open is not None:
                    self._commands.send(self._last_open)
            case "other_port":
                self._choose_port()
            case _ if self._said:
                self._said = self._said[1:]
            case _:
                self._left_alone = ("", "")

    def main_action(self) -> bool:
        """F5: do what the band's likely button does; False where the page is to act."""
        band = self.band
        if band is None or not band.actions or band.actions[0].key != "F5":
            return False
        self.pressed(band.actions[0].name)
        return True

    @property
    def band(self) -> BandState | None:
        """What to show now."""
        if self._over:
            return BandState(Tone.FAULT, "Nothing can be asked any more", sentence_case(self._over))
        if self._lost is not None:
            return self._port_band(self._lost)
        if self._record_problem:
            since = f" since {self._record_since}" if self._record_since else ""
            return BandState(Tone.FAULT, f"Nothing is saved{since}", sentence_case(self._record_problem))
        if self._said:
            tone, headline, words = self._said[0]
            return BandState(tone, headline, words, (_CLOSE,))
        headline, words = self._left_alone
        return BandState(Tone.DOUBT, headline, words, (_CLOSE,)) if headline else None

    def _port_band(self, lost: PortFailed) -> BandState:
        other = BandAction(OTHER_PORT, "Other port…", "Ctrl+O")
        again = (BandAction(LOOK_AGAIN, "Look again", "F5"),) if not self._job and self._last_open is not None else ()
        name = short_port(lost.port)
        if not self._was_open:
            return BandState(Tone.FAULT, f"{name} could not be opened", sentence_case(lost.sentence), (*again, other))
        when = stamp(self._wall_time, lost.at_s)
        headline = f"The adapter on {name} is gone" + (f" since {when}" if when else "")
        goes_on = f"the {self._job} goes on by itself with the same settings" if self._job else "it is opened again"
        words = f"Plug it in again, in any socket: {goes_on}. All that was shown is saved."
        if self._record_problem:
            words = f"Plug it in again, in any socket: {goes_on}."
        return BandState(Tone.FAULT, headline, words, (*again, other))


NOT_DONE = "That was not done"


def sentence_case(sentence: str) -> str:
    """Return a sentence with a capital and a full stop, as the band writes it."""
    if not sentence:
        return ""
    return sentence[0].upper() + sentence[1:] + ("" if sentence[-1] in ".:" else ".")

"""The receiver of an adapter: read character by character, deaf while its own station sends unless it has an echo."""

from __future__ import annotations

from typing import NamedTuple

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.pair.history import PairHistory
from simulated_line.pair.receiver import Receiver, View
from simulated_line.pair.transmission import Transmission
from simulated_line.timeline import FOREVER_S

NO_VERSION = -1


class Received(NamedTuple):
    """One character as an adapter takes it over: byte, `CharacterFault` bits, end of its stop bit.

    A tuple, since one is made for every byte on the line.
    """

    byte: int
    faults: int
    end_s: float


class OwnReceiver:
    """A receiver read character by character, deaf while its own station sends unless that has an echo.

    It is looked at for every character and every tick of the adapter. So what is due is worked out once, and stands
    for as long as the pair does not change; the receiver itself is moved on when it does.
    """

    def __init__(self, sender: str, receiver: Receiver, history: PairHistory) -> None:
        self.sender = sender
        self.receiver = receiver
        self.hears_itself = False
        self.follows_framing = False
        self._history = history
        self._kept: list[Received] = []
        self._due: list[Received] = []
        self._taken = 0
        self._known_version = NO_VERSION

    def sent(self, transmission: Transmission) -> None:
        """Note a burst that begins; our own makes us deaf until we release the line."""
        if transmission.sender == self.sender and not self.hears_itself:
            self.receiver.deaf_windows.append((transmission.begin_s, transmission.drives_until_s))
        elif self.follows_framing and transmission.sender != self.sender:
            self._follow(transmission)

    def _follow(self, transmission: Transmission) -> None:
        """Take the framing of whoever begins to send at our speed: for a port that carries none."""
        settings = transmission.burst.settings
        if settings != self.receiver.settings and settings.baud_rate == self.receiver.settings.baud_rate:
            self.reset(settings, transmission.begin_s)

    def decode(self, until_s: float) -> None:
        """Decode what ended by a moment that line time has reached, and keep it."""
        self._kept += self._due_until(until_s)
        self.receiver.take(self._seen(), until_s)
        self._know_due()

    def next_end_s(self) -> float:
        """Return when the next character not yet taken ends, if nothing else begins; infinity if none is due."""
        return self.end_s_of(0)

    def end_s_of(self, ordinal: int) -> float:
        """Return when the character so many behind the next one ends, if nothing else begins; infinity if none is."""
        if self._known_version != self._history.version:
            self._look_again()
        at = self._taken + ordinal
        if self._kept:
            if ordinal < len(self._kept):
                return self._kept[ordinal].end_s
            at -= len(self._kept)
        return self._due[at].end_s if at < len(self._due) else FOREVER_S

    def take(self, until_s: float) -> list[Received]:
        """Return all characters that ended by `until_s`, and forget them."""
        if not self._kept:
            return self._due_until(until_s)
        kept, self._kept = self._kept, []
        return kept + self._due_until(until_s)

    def reset(self, settings: SerialSettings, now_s: float) -> None:
        """Set the receiver anew: what it was in the middle of is lost, what it had received is kept."""
        self.decode(now_s)
        self.receiver.settings = settings
        self.receiver.position_s = now_s
        self.forget()

    def forget(self) -> None:
        """Settings, wiring or line are other ones: what was worked out is void, what was taken is not."""
        self._pass_by_taken()
        self.receiver.forget()
        self._due, self._taken = [], 0
        self._known_version = NO_VERSION

    def _due_until(self, until_s: float) -> list[Received]:
        if self._known_version != self._history.version:
            self._look_again()
        due, first = self._due, self._taken
        last = first
        while last < len(due) and due[last].end_s <= until_s:
            last += 1
        self._taken = last
        return due[first:last]

    def _look_again(self) -> None:
        """The pair has changed: move the receiver behind what was taken, and see what is due now."""
        self._pass_by_taken()
        self.receiver.look(self._seen())
        self._know_due()

    def _pass_by_taken(self) -> None:
        if self._taken:
            self.receiver.pass_by(self._due[self._taken - 1].end_s)

    def _know_due(self) -> None:
        run = self.receiver.due()
        self._due = list(map(Received, run.data, run.faults, run.ends_s))
        self._taken = 0
        self._known_version = self._history.version

    def _seen(self) -> View:
        return self._history.view(self.receiver, "" if self.hears_itself else self.sender)

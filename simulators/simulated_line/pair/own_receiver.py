"""The receiver of an adapter: read character by character, deaf while its own station sends unless it has an echo."""

from __future__ import annotations

from collections.abc import Callable

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.pair.receiver import Receiver, Run, View
from simulated_line.pair.transmission import Transmission


class OwnReceiver:
    """A receiver read character by character, deaf while its own station sends unless that has an echo."""

    def __init__(self, sender: str, receiver: Receiver, see: Callable[[Receiver, str], View]) -> None:
        self.sender = sender
        self.receiver = receiver
        self.hears_itself = False
        self.follows_framing = False
        self._see = see
        self._runs: list[Run] = []

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
        """Decode what ended by a moment that line time has reached."""
        run = self.receiver.take(self._seen(), until_s)
        if run.data:
            self._runs.append(run)

    def next_end_s(self) -> float:
        """Return when the next character not yet taken ends, if nothing else begins; infinity if none is due."""
        if self._runs:
            return self._runs[0].ends_s[0]
        return self.receiver.next_end_s(self._seen())

    def take(self, until_s: float) -> list[tuple[int, int, float]]:
        """Return (byte, faults, end) of all characters that ended by `until_s`, and forget them."""
        if not self._runs and self.receiver.next_end_s(self._seen()) > until_s:
            return []
        self.decode(until_s)
        runs, self._runs = self._runs, []
        return [one for run in runs for one in zip(run.data, run.faults, run.ends_s, strict=True)]

    def _seen(self) -> View:
        return self._see(self.receiver, "" if self.hears_itself else self.sender)

    def reset(self, settings: SerialSettings, now_s: float) -> None:
        """Set the receiver anew: what it was in the middle of is lost, what it had received is kept."""
        self.decode(now_s)
        self.receiver.settings = settings
        self.receiver.forget()
        self.receiver.position_s = now_s

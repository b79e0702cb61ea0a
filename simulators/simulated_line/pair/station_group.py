"""Stations that hear the same thing, so that it is decoded once for all of them."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from simulated_line.pair.history import PairHistory
from simulated_line.pair.place import Place
from simulated_line.pair.receiver import Receiver, Run, View, frames_of
from simulated_line.pair.uart import Recovery
from simulated_line.station import Heard
from simulated_line.timeline import Entry

LONGEST_HEARD_CHARACTERS = 2048
"""Four times the longest frame there is (513 characters in ASCII mode: Serial Line V1.02, 2.5.2.1)."""


@dataclass(frozen=True, slots=True)
class GroupKey:
    """What must be equal for two receivers to hear the same; the place only where it matters."""

    settings: SerialSettings
    recovery: Recovery
    is_swapped: bool
    place: Place | None


@dataclass(slots=True)
class StationGroup:
    """Members by name, the receiver they share, and what was heard of a frame that has not ended yet.

    Attributes:
        runs: What was heard since the last silence, in pieces.
        senders: Who sent meanwhile; a station does not hear itself.
    """

    key: GroupKey
    receiver: Receiver
    members: list[str]
    runs: list[Run] = field(default_factory=list)
    senders: set[str] = field(default_factory=set)
    appointment: Entry | None = None

    def decode(self, history: PairHistory, until_s: float) -> None:
        """Take what ended by a moment that line time has reached."""
        run = self.receiver.take(self.view(history), until_s)
        if run.data:
            self.runs.append(run)
            self._forget_front()
        if self.runs:
            self.senders |= history.senders_after(self.runs[0].begins_s[0])

    def view(self, history: PairHistory) -> View:
        """Return what all of them see."""
        return history.view(self.receiver, sender="")

    def heard(self) -> tuple[list[Heard], set[str]]:
        """Return the frames that silence has ended, and who sent meanwhile; begin anew."""
        runs, self.runs = self.runs, []
        senders, self.senders, self.appointment = self.senders, set(), None
        if not runs:
            return [], senders
        return [heard_of(one) for one in frames_of(runs, inter_frame_delay_s(self.key.settings))], senders

    def _forget_front(self) -> None:
        """Keep no more than any frame is long: a line that is never silent must not fill the memory."""
        kept = sum(len(run.data) for run in self.runs)
        while kept - len(self.runs[0].data) >= LONGEST_HEARD_CHARACTERS:
            kept -= len(self.runs.pop(0).data)

    @property
    def last_end_s(self) -> float:
        """End of the last character heard of the frame."""
        return self.runs[-1].ends_s[-1] if self.runs else 0.0

    def call_off(self) -> None:
        """The frame goes on: do not call it ended."""
        if self.appointment is not None:
            self.appointment.call_off()
            self.appointment = None


def heard_of(frame: Run) -> Heard:
    """Return a frame as its stations hear it."""
    pauses = [begin - end for begin, end in zip(frame.begins_s[1:], frame.ends_s[:-1], strict=True)]
    return Heard(frame.data, frame.faults, frame.begins_s[0], frame.ends_s[-1], max(pauses, default=0.0))

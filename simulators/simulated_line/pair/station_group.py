"""Stations that hear the same thing, so that it is decoded once for all of them."""

from __future__ import annotations

from dataclasses import dataclass, field

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.pair.place import Place
from simulated_line.pair.receiver import Receiver, Run
from simulated_line.pair.uart import Recovery
from simulated_line.station import Heard
from simulated_line.timeline import Entry


@dataclass(frozen=True, slots=True)
class GroupKey:
    """What must be equal for two receivers to hear the same; the place only where it matters."""

    settings: SerialSettings
    recovery: Recovery
    is_swapped: bool
    place: Place | None


@dataclass(slots=True)
class StationGroup:
    """Members by name, the receiver they share, and what was heard of a frame that has not ended yet."""

    key: GroupKey
    receiver: Receiver
    members: list[str]
    runs: list[Run] = field(default_factory=list)
    appointment: Entry | None = None

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

"""What the adapter can and cannot tell, in words, and what the user has noted of its switches."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum

from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.port_options import Direction
from buswalk.domain.visit.session_events import EchoTested
from buswalk.ui.tones import Tone
from buswalk.ui.wording import milliseconds


@dataclass(frozen=True, slots=True)
class Told:
    """A caption, its value, a note under it."""

    caption: str
    value: str
    note: str
    tone: Tone = Tone.INK


class SwitchSeen(Enum):
    """How the user has seen a switch of the adapter; the value is the word for it."""

    NOT_NOTED = "not noted"
    ON = "on"
    OFF = "off"


SWITCH_CHOICES = (SwitchSeen.NOT_NOTED, SwitchSeen.ON, SwitchSeen.OFF)


@dataclass(frozen=True, slots=True)
class AdapterSwitches:
    """Both switches that adapters have, as seen."""

    bias: SwitchSeen = SwitchSeen.NOT_NOTED
    terminator: SwitchSeen = SwitchSeen.NOT_NOTED

    @property
    def mark(self) -> str:
        """The words by which it is kept in the record."""
        return f"adapter switches as seen: bias {self.bias.value}, terminator {self.terminator.value}"


@dataclass(frozen=True, slots=True)
class AdapterState:
    """The card.

    Attributes:
        test_words: Of the button; `test_refused` says why it cannot be pressed now.
    """

    aside: str
    told: tuple[Told, ...]
    switches: AdapterSwitches
    test_words: str
    test_refused: str


def echo_told(traits: LineTraits, tested: EchoTested | None) -> Told:
    """Return whether the port hears itself, and how that is known."""
    note = "" if tested is None else tested.sentence
    match traits.echo:
        case Echo.HEARD:
            return Told("Echo", "hears itself", note or "its requests come back")
        case Echo.NOT_HEARD:
            return Told("Echo", "none", note or "nothing comes back")
        case Echo.NOT_KNOWN:
            return Told("Echo", "not known yet", note or "a test tells")


_LATENCY_SOURCES = {
    LatencySource.ASKED: "as the system says",
    LatencySource.LEARNT: "learnt from replies",
    LatencySource.EXACT: "exact",
    LatencySource.ASSUMED: "assumed until replies tell",
}


def latency_told(traits: LineTraits, largest_lump: int) -> Told:
    """Return how late bytes may be handed over, and how many came at once so far: inside a lump no time is known."""
    value = f"within {milliseconds(traits.latency_s)}" if traits.latency_s else "at once"
    source = _LATENCY_SOURCES[traits.latency_source]
    if not largest_lump:
        return Told("Hands bytes over", value, source)
    lumps = "one by one" if largest_lump == 1 else f"up to {largest_lump} at a time"
    return Told("Hands bytes over", value, f"{source}; {lumps}")


def marks_told(traits: LineTraits) -> Told:
    """Return whether framing and parity errors are told."""
    match traits.mark_reporting:
        case MarkReporting.PER_BYTE:
            return Told("Parity and framing errors", "told for each byte", "strict checks possible")
        case MarkReporting.COUNTED:
            return Told("Parity and framing errors", "counted", "which byte it was is not told")
        case MarkReporting.NOT_AVAILABLE:
            return Told("Parity and framing errors", "not told", "damage shows by the CRC only")


def carried_told(traits: LineTraits) -> Told:
    """Return whether speed and framing reach the pair."""
    change = (
        f"a change takes {milliseconds(traits.settings_change_s)}" if traits.settings_change_s else "changed at once"
    )
    if traits.carries_speed and traits.carries_framing:
        return Told("Sets", "speed and framing", change)
    if traits.carries_speed:
        return Told("Sets", "speed only", "framing is set at the far side", Tone.DOUBT)
    return Told("Sets", "neither", "speed, framing: at the far side", Tone.DOUBT)


def direction_told(direction: Direction) -> Told:
    """Return who switches the driver."""
    match direction:
        case Direction.HARDWARE:
            return Told("Direction", "by itself", "the adapter's own doing")
        case Direction.RTS:
            return Told("Direction", "by RTS", "as exact as this system")
        case Direction.KERNEL:
            return Told("Direction", "by the driver", "the system's serial driver")

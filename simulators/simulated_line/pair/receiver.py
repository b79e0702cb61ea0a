"""Receivers that see the same pair with the same settings, decoded once for all of them.

Decoding is lazy and causal: asked for what ended by a moment, a receiver looks only at what the pair did until then.
The fast path serves the usual case, one sound burst on a quiet pair; anything else goes through the bits.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, field
from functools import lru_cache

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.pair.composition import HeldSpan, Wiring, compose
from simulated_line.pair.disturbance import Pulse
from simulated_line.pair.line_habits import OverlapRule
from simulated_line.pair.place import Place
from simulated_line.pair.transmission import Transmission
from simulated_line.pair.uart import Character, Recovery, receive
from simulated_line.pair.waveform import CACHED_BURSTS, MARK, Waveform, burst_toggles, character_starts, masked
from simulated_line.station import Burst
from simulated_line.timeline import FOREVER_S

LONGEST_LOOK_BACK_S = 2.0
"""A spike that never became a character is forgotten after this, so that history stays short."""

REMEMBERED_MISMATCHES = 1 << 15
"""A thorough search sends each of some thousand requests several times, and many receivers make another thing of each;
a third of the search's time went into working that out again. About 1 kB each."""

ROUNDING_S = 1e-10
"""Bursts that follow each other at once are sums of many bits; this is far below any bit."""


@dataclass(frozen=True, slots=True)
class Run:
    """Characters in order: bytes, faults, and their times (start edge, end of first stop bit, ready again)."""

    data: bytes
    faults: bytes
    begins_s: tuple[float, ...]
    ends_s: tuple[float, ...]
    readies_s: tuple[float, ...]


EMPTY_RUN = Run(b"", b"", (), (), ())


@dataclass(frozen=True, slots=True)
class View:
    """What a receiver sees of the pair at one look: everything that may matter behind its position."""

    transmissions: tuple[Transmission, ...]
    held: tuple[HeldSpan, ...]
    pulses: tuple[Pulse, ...]
    rule: OverlapRule
    is_bit_path_forced: bool


@dataclass(slots=True)
class Receiver:
    """A UART on the pair.

    Attributes:
        position_s: Up to here the pair has been decoded; the receiver was idle then.
        deaf_windows: Times during which it is switched off (an adapter while it sends).
    """

    settings: SerialSettings
    recovery: Recovery
    wiring: Wiring
    place: Place
    position_s: float = 0.0
    deaf_windows: list[tuple[float, float]] = field(default_factory=list)
    _view: View | None = None
    _run: Run = EMPTY_RUN
    _index: int = 0
    _fast_order: int = -1
    _fast_end_s: float = 0.0
    _waveform: Waveform = MARK

    def due(self) -> Run:
        """Return the characters to come by the last view looked at, if nothing else begins."""
        return _part(self._run, self._index, len(self._run.data))

    def pass_by(self, until_s: float) -> None:
        """Go on behind the characters that ended by `until_s`, by the last view looked at."""
        last = bisect_right(self._run.ends_s, until_s, self._index)
        if last > self._index:
            self._index = last
            self.position_s = self._run.readies_s[last - 1]

    def last_end_s(self, view: View) -> float:
        """Return when the last character due ends if nothing else begins; infinity if none is due."""
        self.look(view)
        return self._run.ends_s[-1] if self._index < len(self._run.ends_s) else FOREVER_S

    def take(self, view: View, until_s: float) -> Run:
        """Return the characters that ended by `until_s` and go on behind them."""
        self.look(view)
        run, first = self._run, self._index
        self.pass_by(until_s)
        last = self._index
        if last == len(run.ends_s) and self._is_idle(until_s):
            self.position_s = max(self.position_s, until_s)
        if self.position_s < until_s - LONGEST_LOOK_BACK_S:
            self.position_s = until_s - LONGEST_LOOK_BACK_S
        if self.deaf_windows:
            self.deaf_windows = [window for window in self.deaf_windows if window[1] > self.position_s]
        return _part(run, first, last)

    def forget(self) -> None:
        """Wiring or settings have changed: what was prepared for the old ones is void."""
        self._view = None
        self._fast_order = -1

    def look(self, view: View) -> None:
        """Decode all that is due by this view, once."""
        if view is self._view:
            return
        self._view = view
        single = self._single(view)
        if single is not None:
            self._fast_order, self._fast_end_s = single.order, single.data_end_s
            self._run = _shifted(_ideal_run(single.burst, self.settings, self.recovery), single.begin_s)
            self._index = bisect_right(self._run.readies_s, self.position_s)
            return
        self._fast_order = -1
        self._index = 0
        self._waveform = MARK
        if view.transmissions or view.held:
            waveform = compose(view.transmissions, view.held, view.rule, self.wiring, view.pulses)
            self._waveform = masked(waveform, tuple(self.deaf_windows)) if self.deaf_windows else waveform
        elif self.wiring.is_swapped and self.wiring.idle_is_driven:
            self._waveform = Waveform(0, ())
        self._run = _bits_run(self._waveform, self)

    def _is_idle(self, until_s: float) -> bool:
        """Tell whether nothing is half received."""
        if self._fast_order >= 0:
            return until_s >= self._fast_end_s
        if self._waveform.level_at(self.position_s) == 0:
            return False
        index = bisect_left(self._waveform.toggles, self.position_s)
        return index == len(self._waveform.toggles) or self._waveform.toggles[index] >= until_s

    def _single(self, view: View) -> Transmission | None:
        """Return the one burst that the fast path may serve, or None."""
        if view.is_bit_path_forced or not view.transmissions or view.held or view.pulses:
            return None
        one = view.transmissions[-1]
        if not one.is_sound or self.wiring.is_swapped:
            return None
        if self.position_s > one.begin_s and self._fast_order != one.order:
            return None
        if any(begin < one.data_end_s and end > one.begin_s for begin, end in self.deaf_windows):
            return None
        return one if all(self._is_over(former, one.begin_s) for former in view.transmissions[:-1]) else None

    def _is_over(self, former: Transmission, before_s: float) -> bool:
        """Tell whether a burst that can still be seen has nothing more to say, and lets go before a moment."""
        return (
            former.toggles[-1] <= self.position_s
            and former.drives_until_s <= before_s + ROUNDING_S
            and not former.is_swapped
        )


def _bits_run(waveform: Waveform, receiver: Receiver) -> Run:
    return _run_of(receive(waveform, receiver.settings, receiver.recovery, receiver.position_s, FOREVER_S))


def _run_of(characters: Sequence[Character]) -> Run:
    return Run(
        bytes(one.byte for one in characters),
        bytes(one.faults for one in characters),
        tuple(one.begin_s for one in characters),
        tuple(one.end_s for one in characters),
        tuple(one.ready_s for one in characters),
    )


def _part(run: Run, first: int, last: int) -> Run:
    if first == 0 and last == len(run.data):
        return run
    return Run(
        run.data[first:last],
        run.faults[first:last],
        run.begins_s[first:last],
        run.ends_s[first:last],
        run.readies_s[first:last],
    )


def _shifted(run: Run, by_s: float) -> Run:
    return Run(
        run.data,
        run.faults,
        tuple([time_s + by_s for time_s in run.begins_s]),
        tuple([time_s + by_s for time_s in run.ends_s]),
        tuple([time_s + by_s for time_s in run.readies_s]),
    )


def _ideal_run(burst: Burst, settings: SerialSettings, recovery: Recovery) -> Run:
    """Return what a receiver makes of a sound burst alone on the pair; times count from its first start bit."""
    if _reads_as_sent(burst.settings, settings):
        begins, ends, readies = _ideal_times(len(burst.data), burst)
        return Run(burst.data, bytes(len(burst.data)), begins, ends, readies)
    return _mismatched_run(burst, settings, recovery)


def _reads_as_sent(sender: SerialSettings, receiver: SerialSettings) -> bool:
    """Equal but for the second stop bit, which no receiver looks at."""
    return (sender.baud_rate, sender.parity, sender.data_bits) == (
        receiver.baud_rate,
        receiver.parity,
        receiver.data_bits,
    )


def _ideal_times(byte_count: int, burst: Burst) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    return _cached_times(byte_count, burst.settings, character_starts(byte_count, burst.settings, burst.pauses))


@lru_cache(maxsize=CACHED_BURSTS)
def _cached_times(
    byte_count: int, settings: SerialSettings, starts: tuple[float, ...]
) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    assert len(starts) == byte_count
    one_stop_s = (settings.bits_per_character - settings.stop_bits + 1) * settings.bit_s
    ends = tuple(start + one_stop_s for start in starts)
    readies = tuple(end - 0.5 * settings.bit_s for end in ends)
    return starts, ends, readies


@lru_cache(maxsize=REMEMBERED_MISMATCHES)
def _mismatched_run(burst: Burst, settings: SerialSettings, recovery: Recovery) -> Run:
    waveform = Waveform(1, burst_toggles(burst.data, burst.settings, burst.pauses))
    return _run_of(receive(waveform, settings, recovery, -1.0, FOREVER_S))


def frames_of(runs: Sequence[Run], silence_s: float) -> list[Run]:
    """Join runs and cut them again wherever silence was longer than `silence_s`."""
    whole = Run(
        b"".join(run.data for run in runs),
        b"".join(run.faults for run in runs),
        tuple(time_s for run in runs for time_s in run.begins_s),
        tuple(time_s for run in runs for time_s in run.ends_s),
        (),
    )
    frames: list[Run] = []
    first = 0
    for at in range(1, len(whole.data) + 1):
        if at < len(whole.data) and whole.begins_s[at] - whole.ends_s[at - 1] <= silence_s:
            continue
        frames.append(
            Run(whole.data[first:at], whole.faults[first:at], whole.begins_s[first:at], whole.ends_s[first:at], ())
        )
        first = at
    return frames

"""The simulated adapter as a `Line`: what the program opens in place of a serial port."""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from buswalk.domain.line.arrival import Arrival, ByteMark, CountedMarks, LineMark, Mark
from buswalk.domain.line.line_traits import Echo, LatencySource, LineTraits, MarkReporting
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.sent import Sent
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.adapter.adapter import Adapter
from simulated_line.pair.own_receiver import Received
from simulated_line.station import CharacterFault
from simulated_line.timeline import FOREVER_S, Timeline


class SimulatedLine:
    """An open port on a simulated pair. All its waiting is line time."""

    def __init__(self, timeline: Timeline, adapter: Adapter, port: str, keep_pace: Callable[[], None]) -> None:
        self._timeline = timeline
        self._adapter = adapter
        self._habits = adapter.habits
        self._port = port
        self._keep_pace = keep_pace
        self._is_open = True
        self._last_look_s = timeline.now_s()
        self._stall = Random(f"{port}:reader")
        pulled_s = self._habits.unplugged_from_s
        self._lost_from_s = pulled_s if timeline.now_s() < pulled_s else FOREVER_S

    @property
    def traits(self) -> LineTraits:
        """Carries and reports what its adapter does; its times are exact to the latency step."""
        habits = self._habits
        return LineTraits(
            carries_speed=True,
            carries_framing=True,
            spends_wire_time=True,
            mark_reporting=habits.marks,
            echo=Echo.NOT_KNOWN,
            latency_s=habits.latency_step_s,
            latency_source=LatencySource.EXACT,
            settings_change_s=habits.settings_change_s,
            is_simulated=True,
        )

    @property
    def settings(self) -> SerialSettings:
        """The settings last applied."""
        return self._adapter.receiver_settings

    def apply(self, settings: SerialSettings) -> None:
        """Change speed and framing; costs line time."""
        self._require_plugged()
        if settings == self._adapter.receiver_settings:
            return
        self._timeline.run_until(self._timeline.now_s() + self._habits.settings_change_s)
        self._keep_pace()
        self._adapter.set_settings(settings)

    def write(self, data: bytes) -> Sent:
        """Hand over bytes to be sent."""
        if not data:
            raise ValueError("nothing to send")
        self._require_plugged()
        now_s = self._timeline.now_s()
        latest_s = self._habits.start_delay_s
        end_s = self._adapter.send(data)
        duration_s = len(data) * self.settings.character_s
        earliest_end_s = max(now_s + duration_s, end_s - latest_s)
        return Sent(now_s, earliest_end_s, max(earliest_end_s + latest_s, end_s))

    def read(self, until_s: float) -> Arrival | None:
        """Return the next lump, or None at the deadline."""
        while True:
            self._require_plugged()
            now_s = self._timeline.now_s()
            taken = self._adapter.take(now_s)
            if taken:
                return self._arrival(taken)
            if now_s >= until_s:
                self._last_look_s = now_s
                return None
            self._step(until_s)
            self._keep_pace()

    def discard(self) -> tuple[Arrival, ...]:
        """Take all that waits now."""
        self._require_plugged()
        taken = self._adapter.take(self._timeline.now_s())
        return (self._arrival(taken),) if taken else ()

    def close(self) -> None:
        """Give the port back."""
        self._is_open = False

    def _step(self, until_s: float) -> None:
        """Go to the next moment at which something can have arrived, and no further than nothing can begin."""
        horizon_s = min(until_s, self._timeline.next_time_s(), self._lost_from_s)
        handover_s = self._adapter.next_handover_s(horizon_s)
        self._timeline.run_until(min(horizon_s, handover_s))
        if handover_s <= horizon_s:
            self._last_look_s = self._timeline.now_s()

    def _arrival(self, taken: list[Received]) -> Arrival:
        habits = self._habits
        if habits.reader_stall_s:
            self._timeline.run_until(self._timeline.now_s() + self._stall.uniform(0.0, habits.reader_stall_s))
        now_s = self._timeline.now_s()
        not_before_s = min(self._last_look_s, now_s) - habits.latency_step_s
        self._last_look_s = now_s
        marks = self._marks(taken) if any(one.faults for one in taken) else ()
        return Arrival(bytes([one.byte for one in taken]), marks, not_before_s, now_s)

    def _marks(self, taken: list[Received]) -> tuple[Mark, ...]:
        reporting = self._habits.marks
        if reporting is MarkReporting.NOT_AVAILABLE:
            return ()
        marks = [ByteMark(at, mark) for at, one in enumerate(taken) for mark in _marks_of(one.faults)]
        if reporting is MarkReporting.PER_BYTE:
            return tuple(marks)
        kinds = [mark.mark for mark in marks]
        return tuple(CountedMarks(kinds.count(kind), kind) for kind in LineMark if kind in kinds)

    def _require_plugged(self) -> None:
        if not self._is_open:
            raise PortError(self._port, PortProblem.VANISHED, f"{self._port} is closed: open it again")
        now_s = self._timeline.now_s()
        if now_s >= self._lost_from_s:
            raise PortError(
                self._port,
                PortProblem.VANISHED,
                f"{self._port} was unplugged {now_s:.1f} s into the session: plug the adapter in again",
            )


def _marks_of(faults: int) -> tuple[LineMark, ...]:
    if faults & CharacterFault.BREAK:
        return (LineMark.BREAK,)
    marks: tuple[LineMark, ...] = ()
    if faults & CharacterFault.FRAMING:
        marks += (LineMark.FRAMING_ERROR,)
    if faults & CharacterFault.PARITY:
        marks += (LineMark.PARITY_ERROR,)
    return marks

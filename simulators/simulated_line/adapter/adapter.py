"""The adapter as a station on the pair, and its buffer towards the computer. The program sees it through `line`."""

from __future__ import annotations

from collections import deque
from dataclasses import replace
from math import ceil
from random import Random

from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.adapter.adapter_habits import AdapterHabits
from simulated_line.pair.own_receiver import Received
from simulated_line.pair.place import Place
from simulated_line.pair.segment import Segment
from simulated_line.station import Appointment, Burst, Heard
from simulated_line.timeline import FOREVER_S

GRID_SLACK_S = 1e-9


class Adapter:
    """Joins a computer to the pair."""

    def __init__(
        self, segment: Segment, habits: AdapterHabits, settings: SerialSettings, place: Place, seed: int
    ) -> None:
        self._segment = segment
        self._habits = habits
        self._settings = settings
        self._draw = Random(f"{seed}:adapter")
        self._busy_until_s = self._on_line_until_s = 0.0
        self._waiting: deque[Appointment] = deque()
        self._own = segment.attach_adapter(self, place, habits.recovery)
        self._own.hears_itself = habits.hears_itself
        self._buffer: deque[Received] = deque()
        if habits.is_swapped:
            segment.swap(self.name)

    @property
    def name(self) -> str:
        """Its name among the stations."""
        return "adapter"

    @property
    def receiver_settings(self) -> SerialSettings:
        """What its receiver is set to."""
        return self._settings

    @property
    def is_powered(self) -> bool:
        """It lives on the computer."""
        return True

    @property
    def habits(self) -> AdapterHabits:
        """What it does and cannot do."""
        return self._habits

    @property
    def is_sending(self) -> bool:
        """Whether bytes handed over are not all out yet."""
        return self._busy_until_s > self._segment.now_s()

    def heard(self, heard: Heard) -> None:
        """Never called: it is read character by character."""

    def set_settings(self, settings: SerialSettings) -> None:
        """Change speed and framing; a character half received is lost."""
        self._collect(self._segment.now_s())
        self._settings = settings
        self._own.reset(settings, self._segment.now_s())

    def follow_framing(self) -> None:
        """Hear each sender of the speed set in its own framing: for a port that carries none."""
        self._own.follows_framing = True

    def purge_received(self) -> None:
        """Forget what was received and not yet handed over."""
        self._collect(self._segment.now_s())
        self._buffer.clear()

    def purge_waiting(self) -> None:
        """Forget what waits to be sent; what is on the pair goes on."""
        for one in self._waiting:
            one.call_off()
        self._waiting.clear()
        self._busy_until_s = self._on_line_until_s

    def send(self, data: bytes) -> float:
        """Queue bytes; return when the last bit would end if it started at once."""
        now_s = self._segment.now_s()
        settings = self._settings
        if not self._habits.sends_second_stop_bit and settings.stop_bits == 2:
            settings = replace(settings, stop_bits=1)
        begin_s = max(now_s, self._busy_until_s) + self._draw.uniform(0.0, self._habits.start_delay_s)
        burst = self._burst(data, settings)
        self._busy_until_s = begin_s + len(data) * settings.character_s
        if begin_s <= now_s:
            self._begin(burst, self._busy_until_s)
        else:
            end_s = self._busy_until_s
            self._waiting.append(self._segment.at(begin_s, lambda: self._begin_waiting(burst, end_s)))
        return max(now_s, self._busy_until_s)

    def _begin_waiting(self, burst: Burst, end_s: float) -> None:
        self._waiting.popleft()
        self._begin(burst, end_s)

    def _begin(self, burst: Burst, end_s: float) -> None:
        self._on_line_until_s = end_s
        self._segment.send(self, burst)

    def _burst(self, data: bytes, settings: SerialSettings) -> Burst:
        late = self._habits.release_late_characters - self._habits.release_early_characters
        return Burst(data, settings, release_late_s=late * settings.character_s)

    def next_handover_s(self, until_s: float) -> float:
        """Return when the computer gets the next bytes, if by `until_s`; right only if nothing begins before."""
        end_s = self._buffer[0].end_s if self._buffer else self._own.next_end_s()
        if end_s > until_s:
            return FOREVER_S
        handover_s = self._handover_s(end_s)
        return min(handover_s, self._lump_end_s()) if self._habits.lump_bytes else handover_s

    def _lump_end_s(self) -> float:
        """Return when so many bytes wait that they are handed over at once."""
        missing = self._habits.lump_bytes - len(self._buffer)
        return self._segment.now_s() if missing <= 0 else self._own.end_s_of(missing - 1)

    def take(self, now_s: float) -> list[Received]:
        """Return what the adapter hands over by now."""
        buffer = self._buffer
        if not buffer and self._own.end_s_of(0) > now_s:
            return []
        self._collect(now_s)
        taken: list[Received] = []
        is_lump = bool(self._habits.lump_bytes) and len(buffer) >= self._habits.lump_bytes
        while buffer and (is_lump or self._handover_s(buffer[0].end_s) <= now_s + GRID_SLACK_S):
            taken.append(buffer.popleft())
            if is_lump and len(taken) == self._habits.lump_bytes:
                break
        return taken

    def _handover_s(self, end_s: float) -> float:
        """Return the tick of the adapter's timer at or behind a moment."""
        step_s = self._habits.latency_step_s
        if not step_s:
            return end_s
        return max(end_s, ceil(end_s / step_s - GRID_SLACK_S) * step_s)

    def _collect(self, now_s: float) -> None:
        received = self._own.take(now_s)
        if self._habits.damaged_echo_rate:
            received = [one._replace(byte=self._perhaps_damaged(one)) for one in received]
        self._buffer.extend(received)

    def _perhaps_damaged(self, one: Received) -> int:
        """Change an echoed byte at the rate of the habits."""
        is_own = one.end_s <= self._busy_until_s + GRID_SLACK_S
        if not is_own or self._draw.random() >= self._habits.damaged_echo_rate:
            return one.byte
        return one.byte ^ (1 << self._draw.randrange(8))

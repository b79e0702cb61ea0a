"""A receiver as a UART works: start edge, samples in the middle of each bit, marks, recovery. Knows no frames."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from dataclasses import dataclass
from enum import Enum

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from simulated_line.pair.waveform import Waveform
from simulated_line.station import CharacterFault

NEVER_S = float("inf")


class Recovery(Enum):
    """What a receiver does after a framing error; both kinds are built."""

    NEXT_EDGE = "next_edge"
    """Wait for mark, then for the next falling edge."""
    STOP_AS_START = "stop_as_start"
    """Take the failed stop bit for the next start bit, as the older family of UARTs does (16550 data sheets)."""


@dataclass(frozen=True, slots=True)
class Character:
    """One character received.

    Attributes:
        begin_s: Its start edge.
        end_s: End of its first stop bit; a second one is not looked at.
        ready_s: When the receiver looks for the next start edge: the sample of the stop bit.
    """

    byte: int
    faults: CharacterFault
    begin_s: float
    end_s: float
    ready_s: float


def receive(
    waveform: Waveform, settings: SerialSettings, recovery: Recovery, from_s: float, until_s: float
) -> tuple[Character, ...]:
    """Return the characters that end by `until_s`, for a receiver that is idle at `from_s`."""
    receiver = _Receiver(waveform, settings, recovery)
    characters: list[Character] = []
    begin_s = receiver.start_edge_s(from_s)
    while begin_s != NEVER_S and begin_s + receiver.character_s <= until_s:
        character = receiver.character(begin_s)
        if character is None:
            begin_s = receiver.start_edge_s(begin_s + 0.5 * settings.bit_s)
            continue
        if character.end_s > until_s:
            break
        characters.append(character)
        begin_s = receiver.next_start_s(character)
    return tuple(characters)


class _Receiver:
    """Walks along the toggles; characters come in order of time, so what lies behind is not looked at again."""

    def __init__(self, waveform: Waveform, settings: SerialSettings, recovery: Recovery) -> None:
        self._initial = waveform.initial
        self._toggles = waveform.toggles
        self._bit_s = settings.bit_s
        self._data_bits = settings.data_bits
        self._parity = settings.parity
        self._recovery = recovery
        self._stop_at = 1.5 + settings.data_bits + (settings.parity is not Parity.NONE)
        self._passed = 0
        self.character_s = (self._stop_at + 0.5) * self._bit_s - 1e-12

    def start_edge_s(self, from_s: float) -> float:
        """Return the next falling edge; infinity if there is none. A line that is low must rise first."""
        index = bisect_left(self._toggles, from_s, self._passed)
        level_before = self._initial ^ (index & 1)
        if level_before == 0:
            index += 1
        return self._toggles[index] if index < len(self._toggles) else NEVER_S

    def character(self, begin_s: float) -> Character | None:
        """Sample one character; None if the start bit was a spike shorter than half a bit."""
        bit_s = self._bit_s
        passed = self._passed = bisect_right(self._toggles, begin_s + 0.5 * bit_s, self._passed)
        if self._initial ^ (passed & 1):
            return None
        ready_s = begin_s + self._stop_at * bit_s
        bits = self._samples(begin_s, passed)
        byte = bits & ((1 << self._data_bits) - 1)
        faults = CharacterFault.NONE
        has_parity = self._parity is not Parity.NONE
        parity_bit = bits >> self._data_bits & 1 if has_parity else 0
        if has_parity and (byte.bit_count() + parity_bit) & 1 != (self._parity is Parity.ODD):
            faults |= CharacterFault.PARITY
        if not bits >> (self._data_bits + has_parity):
            faults |= CharacterFault.FRAMING
            if not byte and not parity_bit:
                faults |= CharacterFault.BREAK
        return Character(byte, faults, begin_s, ready_s + 0.5 * bit_s, ready_s)

    def _samples(self, begin_s: float, passed: int) -> int:
        """Return the levels in the middle of data, parity and stop bit, the first one lowest."""
        toggles, count = self._toggles, len(self._toggles)
        level = self._initial ^ (passed & 1)
        bits = 0
        for index in range(int(self._stop_at)):
            time_s = begin_s + (1.5 + index) * self._bit_s
            while passed < count and toggles[passed] <= time_s:
                passed += 1
                level ^= 1
            bits |= level << index
        return bits

    def next_start_s(self, character: Character) -> float:
        """Return where the next character begins, by the kind of recovery."""
        failed = CharacterFault.FRAMING in character.faults and CharacterFault.BREAK not in character.faults
        if failed and self._recovery is Recovery.STOP_AS_START:
            return character.ready_s - 0.5 * self._bit_s
        return self.start_edge_s(character.ready_s)

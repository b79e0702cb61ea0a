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
    def __init__(self, waveform: Waveform, settings: SerialSettings, recovery: Recovery) -> None:
        self._initial = waveform.initial
        self._toggles = waveform.toggles
        self._bit_s = settings.bit_s
        self._data_bits = settings.data_bits
        self._parity = settings.parity
        self._recovery = recovery
        self._stop_at = 1.5 + settings.data_bits + (settings.parity is not Parity.NONE)
        self.character_s = (self._stop_at + 0.5) * self._bit_s - 1e-12

    def _level(self, time_s: float) -> int:
        return self._initial ^ (bisect_right(self._toggles, time_s) & 1)

    def start_edge_s(self, from_s: float) -> float:
        """Return the next falling edge; infinity if there is none. A line that is low must rise first."""
        index = bisect_left(self._toggles, from_s)
        level_before = self._initial ^ (index & 1)
        if level_before == 0:
            index += 1
        return self._toggles[index] if index < len(self._toggles) else NEVER_S

    def character(self, begin_s: float) -> Character | None:
        """Sample one character; None if the start bit was a spike shorter than half a bit."""
        bit_s = self._bit_s
        if self._level(begin_s + 0.5 * bit_s):
            return None
        byte = ones = 0
        for index in range(self._data_bits):
            if self._level(begin_s + (1.5 + index) * bit_s):
                byte |= 1 << index
                ones += 1
        faults = CharacterFault.NONE
        parity_bit = 0
        if self._parity is not Parity.NONE:
            parity_bit = self._level(begin_s + (1.5 + self._data_bits) * bit_s)
            if (ones + parity_bit) & 1 != (self._parity is Parity.ODD):
                faults |= CharacterFault.PARITY
        ready_s = begin_s + self._stop_at * bit_s
        if not self._level(ready_s):
            faults |= CharacterFault.FRAMING
            if not byte and not parity_bit:
                faults |= CharacterFault.BREAK
        return Character(byte, faults, begin_s, ready_s + 0.5 * bit_s, ready_s)

    def next_start_s(self, character: Character) -> float:
        """Return where the next character begins, by the kind of recovery."""
        failed = CharacterFault.FRAMING in character.faults and CharacterFault.BREAK not in character.faults
        if failed and self._recovery is Recovery.STOP_AS_START:
            return character.ready_s - 0.5 * self._bit_s
        return self.start_edge_s(character.ready_s)

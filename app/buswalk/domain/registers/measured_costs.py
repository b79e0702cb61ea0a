"""Learns from exchanges what a read costs on one device: turnaround, adapter and silences together, as they were."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line.silent_intervals import inter_frame_delay_s
from buswalk.domain.modbus.exchange import Exchange, NeverSent, Turnaround
from buswalk.domain.modbus.observation import EchoHeard
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.registers.read_costs import ReadCosts

MEASURED_ENOUGH = 20
"""So many exchanges of a device, and what it costs is known."""
KEPT = 200
LEAST_SPREAD = 16
"""Replies must differ by so many bytes before a cost of each register is told from the rest."""


@dataclass(frozen=True, slots=True)
class _Seen:
    """One exchange: bytes of request and reply, and how long all of it took."""

    byte_count: int
    took_s: float
    turnaround_s: float


class MeasuredCosts:
    """Takes the exchanges with one device; only right replies count."""

    def __init__(self) -> None:
        self._seen: deque[_Seen] = deque(maxlen=KEPT)
        self._settings: SerialSettings | None = None
        self.longest_turnaround_s = 0.0

    def __len__(self) -> int:
        return len(self._seen)

    def took(self, exchange: Exchange) -> None:
        """Take the next one."""
        if not isinstance(exchange.outcome, NormalReply | ExceptionReply) or isinstance(exchange.sent, NeverSent):
            return
        if any(not isinstance(one, EchoHeard) for one in exchange.observations):
            return
        byte_count = len(exchange.request_adu) + len(exchange.outcome.adu)
        self._seen.append(_Seen(byte_count, exchange.ended_s - exchange.sent.begin_s, _turnaround_s(exchange)))
        self._settings = exchange.settings
        if isinstance(exchange.turnaround, Turnaround):
            self.longest_turnaround_s = max(self.longest_turnaround_s, exchange.turnaround.not_more_than_s)

    @property
    def turnaround_s(self) -> float:
        """The mean time in which the device thinks, as far as times tell; 0 before the first reply."""
        return sum(one.turnaround_s for one in self._seen) / max(1, len(self._seen))

    def costs(self, traits: LineTraits, minimum_gap_s: float) -> ReadCosts:
        """Return what reads cost as they were measured. At least one reply was taken.

        An exchange ends when the line was silent for t3.5 and the latency; a longer gap is waited for after that.
        """
        settings = self._settings
        assert settings is not None, "a reply was taken"
        character_s = settings.character_s if traits.spends_wire_time else 0.0
        gap_s = max(0.0, minimum_gap_s - inter_frame_delay_s(settings) - traits.latency_s)
        byte_s = self._byte_s(character_s)
        beside_s = sum(one.took_s - one.byte_count * (character_s + byte_s) for one in self._seen) / len(self._seen)
        return ReadCosts(character_s, max(0.0, beside_s) + gap_s, 2 * byte_s)

    def _byte_s(self, character_s: float) -> float:
        """Return what each byte costs beside its characters, by least squares; 0 where the lengths do not tell."""
        counts = [one.byte_count for one in self._seen]
        if max(counts) - min(counts) < LEAST_SPREAD:
            return 0.0
        mean = sum(counts) / len(counts)
        rest = [one.took_s - one.byte_count * character_s for one in self._seen]
        mean_rest = sum(rest) / len(rest)
        above = sum((count - mean) * (one - mean_rest) for count, one in zip(counts, rest, strict=True))
        return max(0.0, above / sum((count - mean) ** 2 for count in counts))


def _turnaround_s(exchange: Exchange) -> float:
    """Return the middle of its range."""
    if not isinstance(exchange.turnaround, Turnaround):
        return 0.0
    return max(0.0, (exchange.turnaround.not_less_than_s + exchange.turnaround.not_more_than_s) / 2)

"""What a thorough search asks: one block a speed, no hopping; every cell in its own framing, in passes of other waits.

A block first asks every address with 03, 04 and 01 in each framing, once with each clear wait. The first framing is
held until a device that looks for the speed by itself has had its time there. Then likely addresses are asked with the
long wait after a pause. When all blocks are done, the other addresses are asked after a pause as well.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum
from functools import cache

import numpy as np

from buswalk.domain.line.serial_settings import Parity, SerialSettings
from buswalk.domain.search.clear_waits import (
    LONGEST_TURNAROUND_S,
    SECONDS_A_POINT,
    clear_waits_s,
    is_clear,
    turnarounds_s,
)
from buswalk.domain.search.order import Step
from buswalk.domain.search.prior import Mistaken, address_weight, is_usual_address
from buswalk.domain.search.probe import SHARES_SILENT_ON, Probe, ProbeFunction, probe_cost_s
from buswalk.domain.search.suspicion import turnaround_density

LONGEST_PAUSE_S = 0.5
"""The longest silence before a request that a device may want and is still claimed to be found."""
PAUSE_S = LONGEST_PAUSE_S + 0.005
HOLD_S = 65.0
"""So long requests go out in one framing without parity: a device may listen for 10 s at each of five speeds, and must
then hear a few right requests (common practice, no source)."""
FUNCTIONS = (ProbeFunction.HOLDING_REGISTERS, ProbeFunction.INPUT_REGISTERS, ProbeFunction.COILS)
SHARE_WANTING_A_PAUSE = 0.01
"""Of devices: found only after a pause (judgement, no source)."""


class Pass(Enum):
    """Why a cell is asked once more."""

    FIRST = "first"
    HOLD = "hold"
    """The same again, for devices that look for the speed by themselves."""
    SECOND = "second"
    THIRD = "third"
    PATIENT = "patient"
    """Likely addresses: a pause before, and the long wait."""
    PAUSED = "paused"
    """All others: a pause before, and a wait as long."""


CLEAR_PASSES = (Pass.FIRST, Pass.SECOND, Pass.THIRD)


@dataclass(frozen=True, slots=True)
class Turn:
    """One request in one pass.

    Attributes:
        wait_s: From its end to the first byte, latency not included.
        gap_s: Silence before it.
    """

    probe: Probe
    of_pass: Pass
    wait_s: float
    gap_s: float = 0.0

    def cost_s(self, latency_s: float) -> float:
        """Return what it takes if nothing answers; the pause passes while the answer before is waited for."""
        return probe_cost_s(self.probe.settings, max(self.wait_s + latency_s, self.gap_s))


@dataclass(frozen=True, slots=True)
class ThoroughScope:
    """What a thorough search goes over.

    Attributes:
        settings: With their weights, in pairs.
        latency_s: Of the port: the passes are laid out for it.
    """

    addresses: tuple[int, ...]
    settings: tuple[tuple[SerialSettings, float], ...]
    planned: frozenset[int] = frozenset()
    latency_s: float = 0.0
    mistaken: Mistaken = ()

    def turns(self) -> Iterator[Turn]:
        """Yield all of it in order."""
        likely, others = self._by_likeliness()
        for baud_rate in self.speeds():
            yield from self._clear_passes(baud_rate, (*likely, *others))
            for probe in self._cells(baud_rate, likely):
                yield Turn(probe, Pass.PATIENT, LONGEST_TURNAROUND_S, PAUSE_S)
        for baud_rate in self.speeds():
            for probe in self._cells(baud_rate, others):
                yield Turn(probe, Pass.PAUSED, PAUSE_S, PAUSE_S)

    def speeds(self) -> tuple[int, ...]:
        """Return the speeds, that of most weight first."""
        weights: dict[int, float] = {}
        for one, weight in self.settings:
            weights[one.baud_rate] = weights.get(one.baud_rate, 0.0) + weight
        return tuple(sorted(weights, key=lambda one: -weights[one]))

    def waits_s(self, baud_rate: int) -> tuple[float, ...]:
        """Return the waits of the passes at a speed."""
        return clear_waits_s(baud_rate, self.latency_s)

    def framings(self, baud_rate: int) -> tuple[SerialSettings, ...]:
        """Return how a speed is asked: without parity first, as that is held for devices that look for the speed."""
        own = [pair for pair in self.settings if pair[0].baud_rate == baud_rate]
        return tuple(one for one, _ in sorted(own, key=lambda pair: (pair[0].parity is not Parity.NONE, -pair[1])))

    def _clear_passes(self, baud_rate: int, addresses: tuple[int, ...]) -> Iterator[Turn]:
        for of_pass, wait_s in zip(CLEAR_PASSES, self.waits_s(baud_rate), strict=False):
            for settings in self.framings(baud_rate):
                asked = [Turn(one, of_pass, wait_s) for one in _probes(settings, addresses)]
                yield from asked
                if of_pass is Pass.FIRST and settings.parity is Parity.NONE:
                    yield from self._held(asked)

    def _held(self, asked: list[Turn]) -> Iterator[Turn]:
        passed_s = sum(one.cost_s(self.latency_s) for one in asked)
        while passed_s < HOLD_S:
            for one in asked:
                yield Turn(one.probe, Pass.HOLD, one.wait_s)
                passed_s += one.cost_s(self.latency_s)
                if passed_s >= HOLD_S:
                    break

    def _cells(self, baud_rate: int, addresses: tuple[int, ...]) -> Iterator[Probe]:
        for settings in self.framings(baud_rate):
            yield from _probes(settings, addresses)

    def _by_likeliness(self) -> tuple[tuple[int, ...], tuple[int, ...]]:
        ranked = sorted(self.addresses, key=lambda one: -address_weight(one, self.planned, self.mistaken))
        likely = tuple(one for one in ranked if one in self.planned or is_usual_address(one))
        return likely, tuple(one for one in ranked if one not in likely)

    # What is hoped for

    def steps(self, turns: Iterable[Turn]) -> list[Step]:
        """Return turns with what they cost and how likely each is the first that finds a device; HOLD finds none."""
        weights = dict(self.settings)
        by_address = {one: address_weight(one, self.planned, self.mistaken) for one in self.addresses}
        steps: list[Step] = []
        alike, weight, cost_s = None, 0.0, 0.0
        for turn in turns:
            probe = turn.probe
            if alike is None or not _is_alike(turn, alike):
                alike = turn
                weight = weights[probe.settings] * self._share_of(turn)
                cost_s = turn.cost_s(self.latency_s)
            gain = weight * by_address[probe.server_address] * _SHARE_FIRST_BY[probe.function]
            steps.append(Step(probe, gain, cost_s))
        return steps

    def _share_of(self, turn: Turn) -> float:
        if turn.of_pass is Pass.HOLD:
            return 0.0
        if turn.of_pass not in CLEAR_PASSES:
            return SHARE_WANTING_A_PAUSE
        shares = _shares_by_pass(turn.probe.settings.baud_rate, self.latency_s)
        return (1.0 - SHARE_WANTING_A_PAUSE) * shares[CLEAR_PASSES.index(turn.of_pass)]


def _is_alike(one: Turn, other: Turn) -> bool:
    """Tell whether two turns cost the same and find alike but for address and function: they come in long rows."""
    return (
        one.probe.settings is other.probe.settings
        and one.of_pass is other.of_pass
        and one.wait_s == other.wait_s
        and one.gap_s == other.gap_s
    )


def _probes(settings: SerialSettings, addresses: Iterable[int]) -> Iterator[Probe]:
    addresses = tuple(addresses)
    for function in FUNCTIONS:
        for address in addresses:
            yield Probe(settings, address, function)


def _share_first_by() -> dict[ProbeFunction, float]:
    """Return of devices by which function they are heard first, in the order in which they are asked."""
    shares: dict[ProbeFunction, float] = {}
    silent = 1.0
    for one in FUNCTIONS:
        shares[one] = silent * (1.0 - SHARES_SILENT_ON[one])
        silent *= SHARES_SILENT_ON[one]
    return shares


_SHARE_FIRST_BY = _share_first_by()


@cache
def _shares_by_pass(baud_rate: int, latency_s: float) -> tuple[float, ...]:
    """Return which share of devices answers clear of our sending first in which pass; quick ones in the first."""
    slow = np.array([turnaround_density(float(one)) for one in turnarounds_s()]) * SECONDS_A_POINT
    missed = np.full(len(slow), fill_value=True)
    shares: list[float] = []
    for wait_s in clear_waits_s(baud_rate, latency_s):
        clear = is_clear(baud_rate, wait_s + latency_s)
        shares.append(float(slow[missed & clear].sum()))
        missed &= ~clear
    return (shares[0] + 1.0 - float(slow.sum()), *shares[1:])

"""The order of questions: probability gained per second decides, a change of settings counted in."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from heapq import heapify, heappop, heapreplace
from math import prod

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.coverage import Learnt, quick_probes
from buswalk.domain.search.prior import FOUND_SETTING_SHARE, address_weight
from buswalk.domain.search.probe import (
    SHARES_SILENT_ON,
    SHARES_TWO_STOP_BITS,
    Probe,
    ProbeFunction,
    Shape,
    probe_cost_s,
)


@dataclass(frozen=True, slots=True)
class ProbeCosts:
    """What a request without an answer costs.

    Attributes:
        wait_s: From its end to the first byte, latency included.
        settings_change_s: What `apply` of other settings costs on this port.
    """

    wait_s: float
    settings_change_s: float = 0.0


@dataclass(frozen=True, slots=True)
class Step:
    """One request in its place.

    Attributes:
        gain: How likely it is the first that finds a device, of all devices that could be anywhere.
        cost_s: What it takes if nothing answers, with the change of settings before it.
    """

    probe: Probe
    gain: float
    cost_s: float


def ordered_steps(
    addresses: Iterable[int], settings: Mapping[SerialSettings, float], learnt: Learnt, costs: ProbeCosts
) -> list[Step]:
    """Return what is left to ask, the request that gains most per second first; `settings` carries their weights.

    A setting at which something was found weighs most. What was asked lowers the hope of what reaches the same devices.
    """
    return _Ordering(settings, learnt, costs).steps(list(addresses))


@dataclass(slots=True)
class _Cell:
    """One address at one setting: how likely it is taken, and what was asked of it."""

    weight: float
    functions: set[ProbeFunction]
    by_one_parity: dict[ProbeFunction, float]

    def not_found(self) -> float:
        """Return the share of devices here that have said nothing to all that was asked."""
        silent = prod(SHARES_SILENT_ON[one] for one in self.functions)
        for function, certainty in self.by_one_parity.items():
            if function not in self.functions:
                silent *= 1.0 - certainty * (1.0 - SHARES_SILENT_ON[function])
        return silent

    def gain(self, function: ProbeFunction, certainty: float) -> float:
        """Return how likely a request is the first to be answered."""
        if function in self.functions:
            return 0.0
        answers = 1.0 - SHARES_SILENT_ON[function]
        before = self.by_one_parity.get(function, 0.0)
        if not before:
            return self.weight * self.not_found() * certainty * answers
        heard_before = before * answers
        return self.weight * self.not_found() * max(0.0, certainty - before) * answers / (1.0 - heard_before)

    def ask(self, function: ProbeFunction, certainty: float) -> None:
        """Take in that it was asked."""
        if certainty >= 1.0:
            self.functions.add(function)
        else:
            self.by_one_parity[function] = max(certainty, self.by_one_parity.get(function, 0.0))


class _Ordering:
    """Heaps by setting; an entry that is out of date is weighed again when it comes to the top.

    That is right because asking only lowers the hope of what has not been asked.
    """

    def __init__(self, settings: Mapping[SerialSettings, float], learnt: Learnt, costs: ProbeCosts) -> None:
        self._settings = settings
        self._learnt = learnt
        self._change_s = costs.settings_change_s
        self._cost_s = {one: probe_cost_s(one, costs.wait_s) for one in settings}
        self._parity_half = SHARES_TWO_STOP_BITS[learnt.two_stop_bits]
        self._cells: dict[tuple[int, SerialSettings], _Cell] = {}
        self._touched: dict[int, int] = {}

    def steps(self, addresses: list[int]) -> list[Step]:
        by_address = {one: address_weight(one, self._learnt.planned, self._learnt.mistaken) for one in addresses}
        for one, weight in self._settings.items():
            likely = FOUND_SETTING_SHARE if one in self._learnt.found_at else weight
            for address, of_address in by_address.items():
                self._cells[address, one] = _Cell(likely * of_address, set(), {})
        for probe in self._learnt.asked:
            self._ask(probe)
        self._touched = dict.fromkeys(addresses, 0)
        return self._drawn(self._heaps(addresses))

    def _heaps(self, addresses: list[int]) -> dict[SerialSettings, list[tuple[float, int, int, Probe]]]:
        heaps: dict[SerialSettings, list[tuple[float, int, int, Probe]]] = {one: [] for one in self._settings}
        for number, probe in enumerate(quick_probes(addresses, self._settings, self._learnt)):
            if probe not in self._learnt.asked:
                heaps[probe.settings].append((-self._gain(probe), number, 0, probe))
        for heap in heaps.values():
            heapify(heap)
        return {one: heap for one, heap in heaps.items() if heap}

    def _drawn(self, heaps: dict[SerialSettings, list[tuple[float, int, int, Probe]]]) -> list[Step]:
        steps: list[Step] = []
        now: SerialSettings | None = None
        while heaps:
            best, best_rate, best_cost_s = None, -1.0, 0.0
            for one, heap in heaps.items():
                cost_s = self._cost_s[one] + (self._change_s if one != now else 0.0)
                rate = self._top_gain(heap) / cost_s
                if rate > best_rate:
                    best, best_rate, best_cost_s = one, rate, cost_s
            assert best is not None
            gain, _, _, probe = heappop(heaps[best])
            if not heaps[best]:
                del heaps[best]
            steps.append(Step(probe, -gain, best_cost_s))
            self._ask(probe)
            self._touched[probe.server_address] += 1
            now = best
        return steps

    def _top_gain(self, heap: list[tuple[float, int, int, Probe]]) -> float:
        while True:
            gain, number, weighed_at, probe = heap[0]
            touched = self._touched[probe.server_address]
            if weighed_at == touched:
                return -gain
            heapreplace(heap, (-self._gain(probe), number, touched, probe))

    def _reached(self, probe: Probe) -> list[tuple[_Cell, float]]:
        if probe.shape is Shape.ORDINARY:
            cell = self._cells.get((probe.server_address, probe.settings))
            return [] if cell is None else [(cell, 1.0)]
        reached = []
        for certainty, one in zip((1.0, self._parity_half), probe.reaches(), strict=True):
            cell = self._cells.get((probe.server_address, one))
            if cell is not None and certainty:
                reached.append((cell, certainty))
        return reached

    def _gain(self, probe: Probe) -> float:
        return sum(cell.gain(probe.function, certainty) for cell, certainty in self._reached(probe))

    def _ask(self, probe: Probe) -> None:
        for cell, certainty in self._reached(probe):
            cell.ask(probe.function, certainty)

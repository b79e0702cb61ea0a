"""What the exchanges of a watch have told of each device, as its share of a cycle."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from buswalk.domain.line.line_traits import LineTraits
from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.request import AtLeast, KnownLength, NoReplyDue
from buswalk.domain.registers.cycle_forecast import CycleRules, DeviceCycle, ReadSize
from buswalk.domain.registers.measured_costs import MEASURED_ENOUGH, MeasuredCosts
from buswalk.domain.registers.read_costs import REQUEST_BYTES, ReadCosts, expected_costs
from buswalk.domain.watching.asks import Ask
from buswalk.domain.watching.plan import WatchedDevice, WatchPlan
from buswalk.domain.watching.waits import REST_AFTER_ABSENT_S, Waits, late_for_s, wait_for_s

ADDRESS_AND_CRC_BYTES = 3


@dataclass(slots=True)
class _Unanswered:
    asked: int = 0
    silent: int = 0
    silent_s: float = 0.0


class CycleTally:
    """Takes the exchanges of a watch in their order. Memory does not grow with their number."""

    def __init__(self, plan: WatchPlan) -> None:
        self._plan = plan
        self._measured = {one.place: MeasuredCosts() for one in plan.devices}
        self._unanswered = {one.place: _Unanswered() for one in plan.devices}

    def answered(self, device: WatchedDevice, exchange: Exchange) -> bool:
        """Take an exchange in which something came. Return whether the device is measured well enough with it."""
        measured = self._measured[device.place]
        before = len(measured)
        measured.took(exchange)
        self._unanswered[device.place].asked += 1
        return before < MEASURED_ENOUGH <= len(measured)

    def unanswered(self, device: WatchedDevice, seconds: float) -> None:
        """Take a request that nobody answered; so long nothing else could be asked."""
        counts = self._unanswered[device.place]
        counts.asked += 1
        counts.silent += 1
        counts.silent_s += seconds

    def is_measured(self, device: WatchedDevice) -> bool:
        """Tell whether enough of its exchanges are known."""
        return len(self._measured[device.place]) >= MEASURED_ENOUGH

    def costs(self, device: WatchedDevice, traits: LineTraits) -> ReadCosts:
        """Return what its reads cost: as measured, or as expected before its first reply."""
        measured = self._measured[device.place]
        if not len(measured):
            return expected_costs(device.settings, traits, device.minimum_gap_s)
        return measured.costs(traits, device.minimum_gap_s)

    def device_cycle(self, asks: Iterable[Ask], traits: LineTraits, *, is_absent: bool) -> DeviceCycle:
        """Return what a device adds to a cycle, by the requests that it is asked; at least one."""
        asks = tuple(asks)
        device = asks[0].device
        counts = self._unanswered[device.place]
        costs = self.costs(device, traits)
        measured = self._measured[device.place]
        longest_s = measured.longest_turnaround_s
        wait_s = device.wait_s if device.waits is Waits.AS_TOLD else max(device.wait_s, wait_for_s(longest_s))
        asked_s = REQUEST_BYTES * costs.character_s + wait_s + traits.latency_s
        return DeviceCycle(
            device.server_address,
            device.settings,
            tuple(read_size(one) for one in asks),
            costs,
            min(measured.turnaround_s, costs.beside_s),
            device.minimum_gap_s,
            0.0 if is_absent else counts.silent / max(1, counts.asked),
            counts.silent_s / counts.silent if counts.silent and not is_absent else asked_s + late_for_s(longest_s),
            is_absent,
            asked_s + REST_AFTER_ABSENT_S,
            wait_s,
            longest_s,
        )

    def rules(self, traits: LineTraits) -> CycleRules:
        """Return what holds for the whole line."""
        return CycleRules(self._plan.absent_every_s, self._plan.share, traits.settings_change_s)


def read_size(ask: Ask) -> ReadSize:
    """Return a request as a cycle counts it."""
    return ReadSize(exchange_bytes(ask), ask.period_s)


def exchange_bytes(ask: Ask) -> int:
    """Return the bytes of a request and of its normal reply."""
    request = len(ask.request.pdu()) + ADDRESS_AND_CRC_BYTES
    match ask.request.reply_length(b""):
        case KnownLength(pdu_bytes) | AtLeast(pdu_bytes):
            return request + pdu_bytes + ADDRESS_AND_CRC_BYTES
        case NoReplyDue():
            return request

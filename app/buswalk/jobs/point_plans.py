"""The read plans of a watch: made from what is expected, anew from what was measured, cut where a device refuses."""

from __future__ import annotations

from collections.abc import Iterator

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import ExceptionReply, NormalReply
from buswalk.domain.registers.cycle_forecast import DeviceCycle, MeasuredCycle, cycle_forecast
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.samples import PointsWatched
from buswalk.domain.registers.what_would_help import what_would_help
from buswalk.domain.watching.asks import Ask, DeviceAsks, device_asks, points_told, split_ask
from buswalk.domain.watching.cycle_tally import CycleTally
from buswalk.domain.watching.events import CycleForecasted, PointNotRead, PointRefused, PointTold, WatchEvent
from buswalk.domain.watching.plan import Place, PointsRead, WatchedDevice, WatchPlan
from buswalk.domain.watching.plans_anew import with_plans_anew
from buswalk.domain.watching.turns import Turns
from buswalk.jobs.asking.asker import Asker

ILLEGAL_DATA_ADDRESS, ILLEGAL_DATA_VALUE = 0x02, 0x03
"""Application V1.1b3, 7: what a device answers that does not have all that it was asked for."""

WORTH_TELLING = 0.1
"""A cycle that changed by less is the same one."""


def is_to_be_cut(ask: Ask, exchange: Exchange) -> bool:
    """Tell whether a device refuses this request for one or another of its points: its halves are asked at once."""
    match exchange.outcome:
        case ExceptionReply(exception_code=code):
            return code in (ILLEGAL_DATA_ADDRESS, ILLEGAL_DATA_VALUE) and len(ask.points) > 1
        case _:
            return False


def announced(device: WatchedDevice, planned: DeviceAsks, now_s: float) -> Iterator[PointsWatched | PointNotRead]:
    """Yield which points are read from now on, as their list describes them, and which are not."""
    assert isinstance(device.reading, PointsRead), "a device with points"
    names = {one.name for one in points_told(planned.asks)}
    points = tuple(one for one in device.reading.profile.points if one.name in names)
    yield PointsWatched(device.server_address, device.settings, device.reading.profile.name, points, now_s)
    for gone in planned.left_out:
        yield PointNotRead(device.server_address, device.settings, gone.point.name, gone.why, now_s)


class PointPlans:
    """Gives `turns` the requests of each device."""

    def __init__(self, plan: WatchPlan, turns: Turns, asker: Asker) -> None:
        self._plan = plan
        self._turns = turns
        self._asker = asker
        self._tally = CycleTally(plan)
        # A watch for faults alone says nothing new: how long its cycle takes is seen.
        self._is_forecast = not any(isinstance(one.reading, PointsRead) for one in plan.devices)
        self._forecast_s = 0.0
        self._told: dict[Place, set[str]] = {one.place: set() for one in plan.devices}
        self._is_cut: set[Place] = set()

    def begin(self) -> Iterator[WatchEvent]:
        """Make the first plans, and say which points are read from now on, and which are not."""
        for device in self._plan.devices:
            if not isinstance(device.reading, PointsRead):
                continue
            planned = device_asks(device, self._plan.period_s, self._costs(device))
            self._turns.put_asks(device, planned.asks)
            yield from announced(device, planned, self._asker.clock.now_s())

    def answered(self, ask: Ask, exchange: Exchange) -> Iterator[WatchEvent]:
        """Take what a device answered: learn what it costs, and follow its map."""
        is_now_measured = self._tally.answered(ask.device, exchange)
        match exchange.outcome:
            case ExceptionReply(exception_code=code) if code in (ILLEGAL_DATA_ADDRESS, ILLEGAL_DATA_VALUE):
                yield from self._refused(ask, code)
            case NormalReply():
                yield from self._granted(ask)
        if is_now_measured and ask.device.place not in self._is_cut:
            self._plan_anew(ask.device)
        if not self._is_forecast and all(self._tally.is_measured(one.device) for one in self._turns.asks):
            self._is_forecast = True
            yield self.forecast()

    def unanswered(self, device: WatchedDevice, seconds: float) -> None:
        """Take a request that nobody answered; so long nothing else could be asked."""
        self._tally.unanswered(device, seconds)

    def forecast(self) -> CycleForecasted:
        """Return how long a cycle takes, by what is known so far."""
        cycle = MeasuredCycle(tuple(map(self._cycle_of, self._plan.devices)), self._tally.rules(self._asker.traits))
        forecast = cycle_forecast(cycle.devices, cycle.rules)
        self._forecast_s = forecast.cycle_s
        helps = what_would_help(cycle.devices, cycle.rules)
        return CycleForecasted(forecast, helps, self._asker.clock.now_s(), cycle)

    def forecast_anew(self) -> Iterator[CycleForecasted]:
        """Tell the forecast again if the cycle has become another one: devices went or came, or think longer."""
        if not self._forecast_s:
            return
        before_s, told = self._forecast_s, self.forecast()
        if abs(told.forecast.cycle_s - before_s) > WORTH_TELLING * before_s:
            yield told
        else:
            self._forecast_s = before_s

    def _cycle_of(self, device: WatchedDevice) -> DeviceCycle:
        is_absent = device.server_address in self._turns.absent
        cycle = self._tally.device_cycle(self._turns.asks_of(device), self._asker.traits, is_absent=is_absent)
        # Requests that were cut because the device refused some stay as they are: a plan made anew knows nothing of it.
        return cycle if device.place in self._is_cut else with_plans_anew(cycle, device, self._plan.period_s)

    def _costs(self, device: WatchedDevice) -> ReadCosts:
        return self._tally.costs(device, self._asker.traits)

    def _plan_anew(self, device: WatchedDevice) -> None:
        asks = device_asks(device, self._plan.period_s, self._costs(device)).asks
        if asks != self._turns.asks_of(device):
            self._turns.put_asks(device, asks)

    def _refused(self, ask: Ask, exception_code: int) -> Iterator[WatchEvent]:
        """Ask for the halves apart, until the point that is refused stands alone."""
        if not ask.points:
            return
        device = ask.device
        halves = split_ask(ask)
        if len(halves) > 1:
            self._is_cut.add(device.place)
            self._turns.put_in_place_of(ask, halves)
        elif self._turns.was_refused(ask):
            name = ask.points[0].name
            told_before = name in self._told[device.place]
            now_s = self._asker.clock.now_s()
            yield PointRefused(device.server_address, device.settings, name, exception_code, told_before, now_s)

    def _granted(self, ask: Ask) -> Iterator[WatchEvent]:
        self._told[ask.device.place].update(one.name for one in ask.points)
        if self._turns.was_granted(ask):
            device, now_s = ask.device, self._asker.clock.now_s()
            for point in ask.points:
                yield PointTold(device.server_address, device.settings, point.name, now_s)

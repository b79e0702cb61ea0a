"""The requests of a watch: what each device is asked, how often, and which points each reply tells."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from buswalk.domain.modbus.request import Request
from buswalk.domain.registers.point import Point
from buswalk.domain.registers.profile import Block
from buswalk.domain.registers.read_costs import ReadCosts
from buswalk.domain.registers.read_plan import LeftOut, NamedPoints, read_plan
from buswalk.domain.registers.read_requests import read_request
from buswalk.domain.watching.plan import OnlyHarmlessRead, PointsRead, WatchedDevice


@dataclass(frozen=True, slots=True)
class Ask:
    """One request that is asked again and again.

    Attributes:
        points: What its reply tells, in order of address; none for the harmless read.
        period_s: It is not asked more often than this; 0 for as often as it goes.
    """

    device: WatchedDevice
    request: Request
    period_s: float
    points: tuple[Point, ...] = ()


@dataclass(frozen=True, slots=True)
class DeviceAsks:
    """All requests of one device, and the points that cannot be read, with the reason."""

    asks: tuple[Ask, ...]
    left_out: tuple[LeftOut, ...] = ()


def harmless_ask(device: WatchedDevice, plan_period_s: float) -> Ask:
    """Return the read that shows whether a device answers."""
    return Ask(device, device.request, device.period_s or plan_period_s)


def device_asks(device: WatchedDevice, plan_period_s: float, costs: ReadCosts) -> DeviceAsks:
    """Return the quickest requests for a device.

    Points of one period are planned together, the shortest period first; a point that lies inside of a quicker request
    rides along with it for nothing.
    """
    match device.reading:
        case OnlyHarmlessRead():
            return DeviceAsks((harmless_ask(device, plan_period_s),))
        case PointsRead() as reading:
            return _asks_for(device, reading, device.period_s or plan_period_s, costs)


def split_ask(ask: Ask) -> tuple[Ask, ...]:
    """Return two asks for the halves of a refused one; itself if it cannot be cut."""
    if len(ask.points) < 2:
        return (ask,)
    half = len(ask.points) // 2
    return tuple(_ask_for(ask.device, points, ask.period_s) for points in (ask.points[:half], ask.points[half:]))


def _asks_for(device: WatchedDevice, reading: PointsRead, usual_s: float, costs: ReadCosts) -> DeviceAsks:
    periods = {one.point: one.period_s for one in reading.periods}
    asks: list[Ask] = []
    left_out: list[LeftOut] = []
    for period_s in sorted({periods.get(name, usual_s) for name in reading.names}):
        names = [name for name in reading.names if periods.get(name, usual_s) == period_s]
        points = [reading.profile.point(name) for name in names]
        asks = [_with_riders(one, points) for one in asks]
        told = {point.name for one in asks for point in one.points}
        plan = read_plan(reading.profile, NamedPoints(tuple(name for name in names if name not in told)), costs)
        asks += [
            Ask(device, read_request(one.block.table, one.block.first, one.block.quantity), period_s, one.points)
            for one in plan.blocks
        ]
        left_out += plan.left_out
    return DeviceAsks(tuple(asks), tuple(left_out))


def _with_riders(ask: Ask, points: list[Point]) -> Ask:
    """Return an ask that tells also those of the points that lie inside of it."""
    block = _hull(ask.points)
    riders = (one for one in points if _is_inside(block, one) and not one.clears_on_read)
    both = sorted((*ask.points, *riders), key=lambda one: one.register_address)
    return replace(ask, points=tuple(both))


def _is_inside(block: Block, point: Point) -> bool:
    return (
        point.table is block.table
        and block.first <= point.register_address
        and point.last_register_address <= block.last
        and point.can_be_read
    )


def _hull(points: tuple[Point, ...]) -> Block:
    first = min(one.register_address for one in points)
    return Block(points[0].table, first, max(one.last_register_address for one in points))


def _ask_for(device: WatchedDevice, points: tuple[Point, ...], period_s: float) -> Ask:
    block = _hull(points)
    return Ask(device, read_request(block.table, block.first, block.quantity), period_s, points)


def points_told(asks: tuple[Ask, ...]) -> Iterator[Point]:
    """Yield all points that these requests tell."""
    for one in asks:
        yield from one.points

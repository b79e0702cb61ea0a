"""Reads points of one device once: the quickest requests, each retried as agreed, cut where the device refuses."""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator
from typing import TypeAlias

from buswalk.domain.modbus.exchange import Exchange
from buswalk.domain.modbus.outcome import EchoOnly, ExceptionReply, NoReply, NormalReply
from buswalk.domain.registers.read_costs import expected_costs
from buswalk.domain.registers.samples import PointsWatched, SamplesTaken
from buswalk.domain.watching.asks import Ask, device_asks, split_ask
from buswalk.domain.watching.events import PointNotRead
from buswalk.domain.watching.plan import NO_RETRIES, PointsRead, Retries, WatchedDevice
from buswalk.domain.watching.sampling import samples_taken
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.point_plans import announced, is_to_be_cut

LATE_FOR_S = 1.0
ReadingEvent: TypeAlias = PointsWatched | PointNotRead | SamplesTaken


def read_points(asker: Asker, device: WatchedDevice, retries: Retries = NO_RETRIES) -> Iterator[ReadingEvent]:
    """Yield what is read, what is not, and then the samples of each exchange; exchanges are told by the asker.

    Raises:
        ValueError: The device has no points to read.
        PortError: The port was lost.
        Stopped: The user's stop.
    """
    if not isinstance(device.reading, PointsRead):
        raise ValueError("a reading needs points")
    asker.use_settings(device.settings)
    planned = device_asks(device, 0.0, expected_costs(device.settings, asker.traits, device.minimum_gap_s))
    yield from announced(device, planned, asker.clock.now_s())
    waiting = deque(planned.asks)
    while waiting:
        yield from _answers_to(asker, waiting.popleft(), retries, waiting)


def _answers_to(asker: Asker, ask: Ask, retries: Retries, waiting: deque[Ask]) -> Iterator[SamplesTaken]:
    gap_s = ask.device.minimum_gap_s
    for left in range(retries.most, -1, -1):
        timing = AskTiming(ask.device.wait_s, gap_s)
        exchange = asker.ask(ask.device.server_address, ask.request, timing)
        if is_to_be_cut(ask, exchange):
            waiting.extendleft(reversed(split_ask(ask)))
            return
        if not left or isinstance(exchange.outcome, NormalReply | ExceptionReply):
            yield samples_taken(exchange, ask.points)
            _leave_alone(asker, exchange)
            return
        gap_s = max(ask.device.minimum_gap_s, retries.pause_s)


def _leave_alone(asker: Asker, exchange: Exchange) -> None:
    """After a silence listen for as long as a late reply may take, so that it is not taken for the next one's."""
    if isinstance(exchange.outcome, NoReply | EchoOnly):
        asker.listen_until(asker.clock.now_s() + LATE_FOR_S)

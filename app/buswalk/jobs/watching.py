"""Watches a line for long: asks each device in turn, points or a harmless read; whatever goes wrong is recorded.

One silent device must not spoil the others' figures: after a silence the line is left alone for as long as a late reply
may take, and after a device that is taken for absent it rests, as some servers take that request's answer for theirs.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator

from buswalk.domain.listening.events import ListeningEnded
from buswalk.domain.modbus.exchange import Exchange, Turnaround
from buswalk.domain.modbus.outcome import EchoOnly, ExceptionReply, NoReply, NormalReply, NotSent
from buswalk.domain.search.events import LivingLine, Verdict
from buswalk.domain.statistics.device_quality import is_clean
from buswalk.domain.statistics.reduction import sent_at_s
from buswalk.domain.watching.asks import Ask
from buswalk.domain.watching.events import DeviceAbsent, DeviceBack, WatchEvent, WatchProgress
from buswalk.domain.watching.plan import Place, WatchedDevice, WatchPlan
from buswalk.domain.watching.sampling import samples_taken
from buswalk.domain.watching.turns import ABSENT_AFTER, Turn, Turns
from buswalk.domain.watching.waits import REST_AFTER_ABSENT_S, Waits, late_for_s, wait_for_s
from buswalk.jobs.asking.asker import Asker, AskTiming
from buswalk.jobs.listening import listen_with
from buswalk.jobs.point_plans import PointPlans, is_to_be_cut
from buswalk.jobs.safe_point import SafePoint, without_safe_points
from buswalk.jobs.searching.evidence import Evidence

PROGRESS_EVERY_S = 60.0
LOOK_EVERY_S = 1.0


class Watch:
    """One watch. It runs until it is stopped, or until `is_enough`, which is looked at between turns."""

    def __init__(
        self, asker: Asker, evidence: Evidence, plan: WatchPlan, is_enough: Callable[[], bool] = lambda: False
    ) -> None:
        self._is_enough = is_enough
        self._asker = asker
        self._evidence = evidence
        self._plan = plan
        self._turns = Turns(plan)
        self._points = PointPlans(plan, self._turns, asker)
        self._longest_s: dict[int, float] = {}
        self._asked = self._not_clean = 0

    def run(self) -> Iterator[WatchEvent]:
        """Watch; see `run_with_safe_points`."""
        return without_safe_points(self.run_with_safe_points())

    def run_with_safe_points(self) -> Iterator[WatchEvent | SafePoint]:
        """Listen, then ask until stopped; nothing is asked where another client is alive, unless that was allowed.

        Raises:
            PortError: The port was lost.
            Stopped: The user's stop, which is how it ends.
        """
        verdict = Verdict.SILENT
        if self._plan.listen_s:
            self._asker.use_settings(self._plan.devices[0].settings)
            for event in listen_with(self._asker, self._plan.listen_s):
                if isinstance(event, ListeningEnded):
                    verdict = event.verdict
                    yield event
        if verdict is not Verdict.SILENT and not self._plan.may_ask_living_line:
            yield LivingLine(verdict, "something is sending on this line; nothing was asked")
            return
        yield from self._points.begin()
        progress_s = self._asker.clock.now_s() + PROGRESS_EVERY_S
        while not self._is_enough():
            now_s = self._asker.clock.now_s()
            yield SafePoint(max(0.0, self._turns.next_turn(now_s).due_s - now_s))
            yield from self._one_turn()
            now_s = self._asker.clock.now_s()
            if now_s >= progress_s:
                yield WatchProgress(self._asked, self._not_clean, self._turns.absent, now_s)
                yield from self._points.forecast_anew()
                progress_s = now_s + PROGRESS_EVERY_S

    def _one_turn(self) -> Iterator[WatchEvent]:
        turn = self._turns.next_turn(self._asker.clock.now_s())
        if turn.due_s > self._asker.clock.now_s():
            self._asker.listen_until(min(turn.due_s, self._asker.clock.now_s() + LOOK_EVERY_S))
            if turn.due_s > self._asker.clock.now_s():
                return
        self._asker.use_settings(turn.ask.device.settings)
        yield from self._ask(turn)

    def _ask(self, turn: Turn) -> Iterator[WatchEvent]:
        """Ask, and again as often as was agreed; an absent device is asked once."""
        device = turn.ask.device
        retries = 0 if turn.is_absent else self._plan.retries.most
        gap_s = device.minimum_gap_s
        for left in range(retries, -1, -1):
            timing = AskTiming(self._wait_s(device), gap_s)
            exchange = self._asker.ask(device.server_address, turn.ask.request, timing)
            self._turns.asked(turn.ask, sent_at_s(exchange), exchange.ended_s)
            self._asked += 1
            self._not_clean += not is_clean(exchange)
            is_last = not left or isinstance(exchange.outcome, NormalReply | ExceptionReply | NotSent)
            if is_last:
                # At once: what was read is in the record before anything else is waited for.
                yield from self._samples(turn.ask, exchange)
            yield from self._judge(turn, exchange, is_last=is_last)
            if is_last or device.server_address in self._turns.absent:
                return
            gap_s = max(device.minimum_gap_s, self._plan.retries.pause_s)

    def _wait_s(self, device: WatchedDevice) -> float:
        if device.waits is Waits.AS_TOLD:
            return device.wait_s
        return max(device.wait_s, wait_for_s(self._longest_s.get(device.server_address, 0.0)))

    def _samples(self, ask: Ask, exchange: Exchange) -> Iterator[WatchEvent]:
        if ask.points and not isinstance(exchange.outcome, NotSent) and not is_to_be_cut(ask, exchange):
            yield samples_taken(exchange, ask.points)

    def _judge(self, turn: Turn, exchange: Exchange, *, is_last: bool) -> Iterator[WatchEvent]:
        device, began_s = turn.ask.device, sent_at_s(exchange)
        match exchange.outcome:
            case NotSent():
                return
            case NoReply() | EchoOnly():
                if is_last:
                    self._leave_alone(turn)
                self._points.unanswered(device, self._asker.clock.now_s() - began_s)
                heard = self._heard_late(device, began_s)
                if device.place not in heard:
                    yield from self._silent(device, began_s)
            case _:
                if isinstance(exchange.turnaround, Turnaround):
                    self._learn(device.server_address, exchange.turnaround.not_more_than_s)
                yield from self._points.answered(turn.ask, exchange)
                heard = {device.place, *self._heard_late(device, began_s)}
        for place in sorted(heard, key=str):
            for one in self._turns.watched_at(place):
                yield from self._heard(one)

    def _leave_alone(self, turn: Turn) -> None:
        """Listen for as long as a late reply may take; a device that is not there has none."""
        longest_s = self._longest_s.get(turn.ask.device.server_address, 0.0)
        seconds = REST_AFTER_ABSENT_S if turn.is_absent else late_for_s(longest_s)
        self._asker.listen_until(self._asker.clock.now_s() + seconds)

    def _heard_late(self, device: WatchedDevice, began_s: float) -> set[Place]:
        """Return where watched devices answered late since the last look: they are slow, not absent."""
        heard: set[Place] = set()
        for late in self._evidence.take_late():
            if late.server_address == device.server_address:
                self._learn(late.server_address, late.at_s - began_s)
            heard.add((late.server_address, self._asker.settings))
        return heard

    def _silent(self, device: WatchedDevice, began_s: float) -> Iterator[WatchEvent]:
        state = self._turns.was_silent(device, began_s)
        if state.silent == ABSENT_AFTER:
            now_s = self._asker.clock.now_s()
            yield DeviceAbsent(device.server_address, device.settings, state.silent, state.silent_since_s, now_s)

    def _learn(self, server_address: int, turnaround_s: float) -> None:
        self._longest_s[server_address] = max(self._longest_s.get(server_address, 0.0), turnaround_s)

    def _heard(self, device: WatchedDevice) -> Iterator[WatchEvent]:
        now_s = self._asker.clock.now_s()
        before = self._turns.was_heard(device)
        if before.is_absent:
            yield DeviceBack(device.server_address, device.settings, now_s - before.silent_since_s, now_s)


def watch(asker: Asker, evidence: Evidence, plan: WatchPlan) -> Iterator[WatchEvent]:
    """Watch until stopped. The evidence is the sink of the asker, or is fed by it."""
    return Watch(asker, evidence, plan).run()

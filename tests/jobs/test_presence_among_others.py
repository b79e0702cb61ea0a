"""Who is quiet, beside another client: asked in its pauses, and nobody is called quiet who was not given time."""

from __future__ import annotations

from pathlib import Path

from buswalk.domain.listening.client_harm import OtherClientSuffers
from buswalk.domain.modbus.functions.read_holding_registers import ReadHoldingRegisters
from buswalk.domain.presence.events import PresenceBase, PresenceEvent, PresenceRound, WentQuiet
from buswalk.domain.presence.plan import PresencePlan
from buswalk.domain.search.events import CycleLeavesNoRoom, GoesBetween, LivingLine
from buswalk.domain.watching.plan import WatchedDevice
from buswalk.jobs.presence import PresenceWatch
from tests.fakes.other_client import Habits
from tests.jobs.searching.live_line import PLAIN, READ_11, READ_12, LiveLine, device

SITE = device(11) + device(12) + device(37) + device(38)


def watched(line: LiveLine, seconds: float, wait_s: float = 0.3) -> list[PresenceEvent]:
    devices = tuple(WatchedDevice(one, PLAIN, ReadHoldingRegisters(0, 1), wait_s) for one in (37, 38))
    plan = PresencePlan(devices, listen_s=10.0, may_ask_living_line=True)
    watch = PresenceWatch(line.asker, line.evidence, plan, lambda: line.clock.now_s() >= seconds)
    return list(watch.run())


def test_it_asks_in_the_pauses_of_the_other_client_which_loses_nothing(tmp_path: Path) -> None:
    line = LiveLine(tmp_path, SITE, Habits((READ_11, READ_12), round_s=2.0))

    events = watched(line, 120.0)

    base = next(one for one in events if isinstance(one, PresenceBase))
    assert base.answering == (37, 38)
    assert any(isinstance(one, GoesBetween) for one in events)
    assert sum(isinstance(one, PresenceRound) for one in events) > 10
    assert not any(isinstance(one, WentQuiet | LivingLine | OtherClientSuffers) for one in events)
    assert line.lost == 0


def test_where_no_pause_is_long_enough_nothing_is_asked(tmp_path: Path) -> None:
    line = LiveLine(tmp_path, SITE, Habits((READ_11, READ_12), round_s=1.0))

    events = watched(line, 120.0, wait_s=2.0)

    assert isinstance(events[-1], CycleLeavesNoRoom)
    assert events[-1].needed_s > 2.0
    assert line.sent == 0

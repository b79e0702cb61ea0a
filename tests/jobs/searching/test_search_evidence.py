"""What holds for every search, whatever is wrong with the line: nothing is lost, told twice, or sent too soon."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.protocols import Line
from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.line_events import ExchangeDone, LateReply, StrayArrival
from buswalk.domain.search.events import Found, HeldStill
from simulated_line.clocks import VirtualClock
from tests.fakes.recording_line import RecordingLine
from tests.jobs.searching.simulated_search import NO_PARITY_9600, SimulatedSearch, plan_for

FAULTS = (
    "another-client",
    "another-protocol",
    "answers-foreign-traffic",
    "damaged-echo",
    "duplicate-address-offset",
    "held-at-space",
    "late-reply",
    "local-echo",
    "pause-inside-reply",
    "slow-device",
    "stray-byte-after-reply",
    "stray-byte-before-reply",
)


class Recorded:
    """A search over one fault, and the line under it."""

    def __init__(self, name: str) -> None:
        self.line: RecordingLine | None = None
        self.search = SimulatedSearch(name, wrap=self._wrap)
        plan = replace(plan_for(range(30, 45)), settings={NO_PARITY_9600: 0.6, SerialSettings.of(19200, "8E1"): 0.4})
        list(self.search.job(plan).run())

    def _wrap(self, line: Line, _: VirtualClock) -> RecordingLine:
        self.line = RecordingLine(line)
        return self.line

    @property
    def told(self) -> list[Arrival]:
        arrivals: list[Arrival] = []
        for event in self.search.line_events:
            match event:
                case StrayArrival(arrival):
                    arrivals.append(arrival)
                case ExchangeDone(exchange):
                    arrivals.extend(exchange.arrivals)
                case _:
                    pass
        return arrivals


def inter_frame_delay_s(settings: SerialSettings) -> float:
    """3.5 characters up to 19 200 baud (Serial Line V1.02, 2.5.1.1)."""
    assert settings.baud_rate <= 19200
    return 3.5 * settings.bits_per_character / settings.baud_rate


@pytest.mark.parametrize("name", FAULTS)
def test_every_arrival_is_told_exactly_once_and_in_order(name: str) -> None:
    recorded = Recorded(name)

    assert recorded.line is not None and recorded.line.handed_over
    assert recorded.told == recorded.line.handed_over


@pytest.mark.parametrize("name", FAULTS)
def test_nothing_is_sent_before_the_line_was_silent_long_enough(name: str) -> None:
    recorded = Recorded(name)

    assert recorded.line is not None
    for settings, sent, arrivals_before in recorded.line.sent:
        if arrivals_before:
            last_s = recorded.line.handed_over[arrivals_before - 1].not_after_s
            assert sent.begin_s - last_s >= inter_frame_delay_s(settings) - 1e-9
    for (_, earlier, _), (settings, later, _) in pairwise(recorded.line.sent):
        assert later.begin_s - earlier.end_not_after_s >= inter_frame_delay_s(settings) - 1e-9


@pytest.mark.parametrize("name", FAULTS)
def test_exchanges_are_numbered_without_a_gap_and_late_replies_name_older_ones(name: str) -> None:
    recorded = Recorded(name)

    known: set[int] = set()
    for event in recorded.search.line_events:
        match event:
            case ExchangeDone(exchange):
                assert exchange.number == len(known) + 1
                known.add(exchange.number)
            case LateReply(exchange_numbers=numbers):
                assert numbers and set(numbers) <= known
            case _:
                pass
    assert known


def test_a_slow_device_is_credited_by_its_late_reply() -> None:
    """It answers after 300 to 900 ms; the short wait is 60 ms. One setting: the reply is heard as it was sent."""
    search = SimulatedSearch("slow-device")
    plan = replace(plan_for(range(30, 45), alone=True), settings={NO_PARITY_9600: 1.0})

    events = list(search.job(plan).run())

    late = [one for one in search.line_events if isinstance(one, LateReply)]
    assert late and {one.server_address for one in late} == {37}
    assert [one.server_address for one in events if isinstance(one, Found)] == [37]


def test_a_reply_heard_at_another_speed_is_energy_and_leads_back_to_its_device() -> None:
    """With two settings in turn the late reply comes while the other is set, as rubbish."""
    search = SimulatedSearch("slow-device")
    settings = {NO_PARITY_9600: 0.6, SerialSettings.of(19200, "8E1"): 0.4}
    plan = replace(plan_for(range(30, 45), alone=True), settings=settings)

    events = list(search.job(plan).run())

    kinds = [type(one) for one in events]
    assert kinds.index(HeldStill) < kinds.index(Found)
    assert 37 in next(one.addresses for one in events if isinstance(one, HeldStill))

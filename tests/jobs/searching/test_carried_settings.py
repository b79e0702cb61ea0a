"""What a port that carries no framing, or no speed either, leaves of a search, and how that is found out."""

from __future__ import annotations

from dataclasses import replace

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import FramingNotCarried, SearchPlan, SettingsNotCarried
from buswalk.jobs.asking.asker import Asker
from buswalk.jobs.searching.evidence import Evidence
from buswalk.jobs.searching.first_search import Search
from tests.fakes.answering_line import AnsweringLine
from tests.fakes.jumping_clock import JumpingClock
from tests.jobs.searching.simulated_search import Searched

FAST, EVEN, SLOW = (SerialSettings.of(19_200, "8N2"), SerialSettings.of(19_200, "8E1"), SerialSettings.of(9600, "8N2"))
PLAN = SearchPlan(addresses=tuple(range(1, 40)), settings={FAST: 0.5, EVEN: 0.2, SLOW: 0.3}, listen_s=0.0)


class PlainLine(AnsweringLine):
    """Carries no framing, as a pseudo terminal; device 7 answers at `speeds`, or whatever the speed is."""

    def __init__(self, clock: JumpingClock, *speeds: int, carries_speed: bool = True) -> None:
        super().__init__(clock, self._answer_of)
        self.traits = replace(self.traits, carries_framing=False, carries_speed=carries_speed)
        self._speeds = speeds
        self.asked_at: list[SerialSettings] = []

    def _answer_of(self, address: int, pdu: bytes) -> bytes:
        self.asked_at.append(self.settings)
        if address != 7 or (self._speeds and self.settings.baud_rate not in self._speeds):
            return b""
        return bytes([7, pdu[0], 2, 0, 1]) if pdu[0] in (0x03, 0x04) else bytes([7, pdu[0] | 0x80, 1])


def result_on(line: PlainLine, clock: JumpingClock, plan: SearchPlan = PLAN) -> Searched:
    evidence = Evidence()
    return Searched(list(Search(Asker(line, clock, evidence), evidence, plan).run()))


def test_a_port_without_framing_is_asked_in_one_framing_a_speed_and_that_is_said() -> None:
    clock = JumpingClock()
    line = PlainLine(clock, 9600)

    result = result_on(line, clock)

    assert [one.settings for one in result.events if isinstance(one, FramingNotCarried)] == [(FAST, SLOW)]
    assert set(line.asked_at) == {FAST, SLOW}
    assert [(one.server_address, one.settings) for one in result.found] == [(7, SLOW)]


def test_a_device_that_answers_at_any_speed_shows_that_nobody_follows_it() -> None:
    """A server of another program on a pseudo terminal: it is one device, not one a speed."""
    clock = JumpingClock()
    line = PlainLine(clock)

    result = result_on(line, clock)

    assert [one.server_address for one in result.found] == [7]
    assert [one.settings for one in result.events if isinstance(one, SettingsNotCarried)] == [FAST]
    last_slow = max(count for count, one in enumerate(line.asked_at) if one == SLOW)
    assert line.asked_at.count(FAST) - line.asked_at[:last_slow].count(FAST) > 30


def test_a_port_without_speed_is_asked_in_the_likeliest_setting_and_that_is_said() -> None:
    clock = JumpingClock()
    line = PlainLine(clock, carries_speed=False)

    result = result_on(line, clock)

    assert [one.settings for one in result.events if isinstance(one, SettingsNotCarried)] == [FAST]
    assert set(line.asked_at) == {FAST}
    assert [one.server_address for one in result.found] == [7]


def test_with_one_speed_planned_one_setting_is_asked() -> None:
    clock = JumpingClock()
    line = PlainLine(clock, 19_200)

    result = result_on(line, clock, replace(PLAN, settings={FAST: 0.5, EVEN: 0.5}))

    assert [one.settings for one in result.events if isinstance(one, SettingsNotCarried)] == [FAST]
    assert set(line.asked_at) == {FAST}

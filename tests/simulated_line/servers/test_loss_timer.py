"""Devices that nobody asks any more; timers of 5 to 300 s are found in manuals (common practice, no source)."""

from __future__ import annotations

from pathlib import Path

from simulated_line.servers.register_map import Table
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import EXAMPLE, registers_in, reply_to, written_site

READ = "25 03 00 00 00 02"
SAFE = (
    '[device.habits]\nloss_timer_s = 10.0\nsafe_values = [{ table = "holding_registers", address = 0, words = [7] }]\n'
)
RECOVERS = EXAMPLE + SAFE
TRIPS = RECOVERS + 'loss_recovery = "after_restart"\n'


def left_alone(site: SimulatedSite, for_s: float) -> None:
    """Nobody asks for so long."""
    site.timeline.run_until(site.timeline.now_s() + for_s)


def shown(site: SimulatedSite) -> list[int]:
    """The registers as they stand, without asking the device."""
    return site.devices["example"].registers.read(Table.HOLDING_REGISTERS, 0, 2, site.timeline.now_s())


def test_the_timer_begins_with_the_first_request(tmp_path: Path) -> None:
    site = written_site(tmp_path, RECOVERS)

    left_alone(site, 100.0)

    assert shown(site) == [215, 450]


def test_not_asked_for_long_enough_it_takes_its_safe_values(tmp_path: Path) -> None:
    site = written_site(tmp_path, RECOVERS)
    reply_to(site, READ)

    left_alone(site, 9.7)
    before = shown(site)
    left_alone(site, 0.3)

    assert before == [215, 450]
    assert shown(site) == [7, 450]


def test_a_device_that_recovers_answers_with_its_values_again(tmp_path: Path) -> None:
    site = written_site(tmp_path, RECOVERS)
    reply_to(site, READ)
    left_alone(site, 20.0)

    assert registers_in(reply_to(site, READ)) == [215, 450]


def test_asked_often_enough_it_never_falls_back(tmp_path: Path) -> None:
    site = written_site(tmp_path, TRIPS)

    for _ in range(10):
        left_alone(site, 9.5)
        assert registers_in(reply_to(site, READ)) == [215, 450]


def test_a_tripped_device_shows_it_until_its_supply_was_away(tmp_path: Path) -> None:
    site = written_site(tmp_path, TRIPS)
    reply_to(site, READ)
    left_alone(site, 20.0)
    tripped = registers_in(reply_to(site, READ))

    site.hands.power_cycle("example")
    left_alone(site, 6.0)

    assert tripped == [7, 450]
    assert registers_in(reply_to(site, READ)) == [215, 450]


def test_questions_to_others_do_not_count(tmp_path: Path) -> None:
    """Serial Line V1.02, 2.2: a request with another address is none to this server."""
    site = written_site(tmp_path, RECOVERS)
    reply_to(site, READ)

    for _ in range(12):
        reply_to(site, "26 03 00 00 00 02", wait_s=1.0)

    assert shown(site) == [7, 450]

"""F56: a controller whose second port asks sensors, and what its first port shows when one of them is gone."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import registers_in, reply_to, shipped_site, written_site

MIRROR = "25 03 00 64 00 02"
AGE = "25 04 00 14 00 01"


def controller(folder: Path, when_lost: str, shown_after_s: float = 0.0) -> SimulatedSite:
    """A controller at 37 that shows two registers of a sensor at 100, asked every second, and their age at 20."""
    return written_site(
        folder,
        f"""
[[device]]
name = "controller"
address = 37
settings = "9600 8N1"

[device.second_port]
settings = "19200 8E1"
when_lost = "{when_lost}"
shown_after_s = {shown_after_s}

[[device.second_port.behind]]
name = "sensor"
type = "air_transmitter"
address = 21
quantity = 2
shown_in = "holding_registers"
shown_at = 100
age_at = 20
""",
    )


def after(site: SimulatedSite, seconds: float) -> list[int]:
    """Mirrored registers so many seconds later."""
    site.timeline.run_until(site.timeline.now_s() + seconds)
    return registers_in(reply_to(site, MIRROR))


def test_values_of_the_sensor_are_shown_and_move(tmp_path: Path) -> None:
    """The air begins at 18.0 degrees and 78 %, with the noise of a sensor."""
    site = controller(tmp_path, "keeps")

    shown = [after(site, 1.1) for _ in range(20)]

    assert all(abs(temperature - 180) < 10 and abs(humidity - 780) < 40 for temperature, humidity in shown)
    assert len({humidity for _, humidity in shown}) > 5
    assert registers_in(reply_to(site, AGE)) in ([0], [1])


def test_unplugged_its_values_stand_still_and_only_the_age_tells() -> None:
    """The shipped scenario: no noise any more, the last digit never moves."""
    site = shipped_site("stale-values")
    after(site, 5.0)

    site.hands.unplug("sensor")
    shown = [after(site, 2.0) for _ in range(10)]

    assert len({tuple(one) for one in shown}) == 1
    assert shown[0][0] != 0
    assert 20 <= registers_in(reply_to(site, AGE))[0] <= 26


def test_plugged_in_again_they_move_again(tmp_path: Path) -> None:
    site = controller(tmp_path, "zero")
    site.hands.unplug("sensor")
    lost = after(site, 5.0)

    site.hands.plug_in("sensor")

    assert lost == [0, 0]
    assert after(site, 3.0)[0] > 100


@pytest.mark.parametrize(
    ("when_lost", "reply"),
    [
        ("zero", "25 03 04 00 00 00 00"),
        ("all_ones", "25 03 04 FF FF FF FF"),
        ("refuses", "25 83 0B"),
        ("silent", ""),
    ],
)
def test_what_a_lost_sensor_looks_like(tmp_path: Path, when_lost: str, reply: str) -> None:
    """0B: the device behind a gateway does not answer (Application V1.1b3, 7)."""
    site = controller(tmp_path, when_lost)
    after(site, 2.0)

    site.hands.unplug("sensor")
    site.timeline.run_until(site.timeline.now_s() + 4.0)

    assert reply_to(site, MIRROR) == reply
    assert registers_in(reply_to(site, "25 03 00 00 00 02")) == [215, 450]


def test_the_loss_shows_after_a_delay(tmp_path: Path) -> None:
    site = controller(tmp_path, "zero", shown_after_s=30.0)
    after(site, 2.0)
    site.hands.unplug("sensor")

    early, late = after(site, 20.0), after(site, 12.0)

    assert early[0] > 100
    assert late == [0, 0]


def test_never_read_the_age_says_so(tmp_path: Path) -> None:
    site = controller(tmp_path, "keeps")
    site.hands.unplug("sensor")

    site.timeline.run_until(5.0)

    assert registers_in(reply_to(site, AGE)) == [0xFFFF]


def test_devices_behind_are_not_on_the_first_pair(tmp_path: Path) -> None:
    site = controller(tmp_path, "keeps")

    assert reply_to(site, "15 04 00 00 00 02") == ""
    assert set(site.devices) == {"controller"}


def test_without_supply_the_controller_asks_nobody(tmp_path: Path) -> None:
    site = controller(tmp_path, "keeps")
    after(site, 3.0)
    counters = site.behind["sensor"].answerer.counters
    site.hands.power_cycle("controller")
    asked_before = counters.server_messages

    site.timeline.run_until(site.timeline.now_s() + 2.9)
    asked_while_off = counters.server_messages - asked_before
    site.timeline.run_until(site.timeline.now_s() + 5.0)

    assert asked_while_off == 0
    assert counters.server_messages >= asked_before + 4

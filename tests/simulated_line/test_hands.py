"""What two hands do to a line, seen on whole exchanges before, during and after."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import EXAMPLE, arrivals_of, hex_of, reply_to, shipped_site, written_site

READ = "25 03 00 00 00 02"
GOOD = "25 03 04 00 D7 01 C2"
NEIGHBOUR = '[[device]]\nname = "neighbour"\naddress = 38\nsettings = "9600 8N1"\nplace = 2\n'
ASK_NEIGHBOUR = "26 03 00 00 00 02"
NEIGHBOUR_GOOD = "26 03 04 00 D7 01 C2"


@pytest.fixture
def site(tmp_path: Path) -> SimulatedSite:
    """Two servers, 37 and 38."""
    return written_site(tmp_path, EXAMPLE + NEIGHBOUR)


def test_wires_exchanged_at_a_device_silence_it_alone(site: SimulatedSite) -> None:
    """F02: inverted frames never decode."""
    said = site.hands.swap_pair("example")
    swapped, neighbour = reply_to(site, READ), reply_to(site, ASK_NEIGHBOUR)
    said_again = site.hands.swap_pair("example")

    assert (swapped, neighbour, reply_to(site, READ)) == ("", NEIGHBOUR_GOOD, GOOD)
    assert (said, said_again) == ("the two wires at example are exchanged", "the two wires at example are as they were")


def test_wires_exchanged_at_the_adapter_silence_everybody(site: SimulatedSite) -> None:
    """F04: on a biased pair an idle line reads as a break, and nobody understands what is sent."""
    site.hands.swap_pair("adapter")
    replies = [hex_of(arrivals_of(site, bytes.fromhex("25 03 00 00 00 02 C2 EF")))]
    replies.append(reply_to(site, ASK_NEIGHBOUR))
    site.hands.swap_pair("adapter")

    assert GOOD not in replies[0]
    assert NEIGHBOUR_GOOD not in replies[1]
    assert reply_to(site, READ) == GOOD


def test_an_unplugged_device_is_silent_until_it_is_plugged_in(site: SimulatedSite) -> None:
    said = site.hands.unplug("example")
    unplugged, neighbour = reply_to(site, READ), reply_to(site, ASK_NEIGHBOUR)
    site.hands.plug_in("example")

    assert (unplugged, neighbour, reply_to(site, READ)) == ("", NEIGHBOUR_GOOD, GOOD)
    assert said == "example is unplugged from the pair"


def test_where_the_cable_is_opened_all_behind_it_are_silent(tmp_path: Path) -> None:
    """In the order of the cable; who was unplugged by itself stays off when the cable is joined again."""
    third = '[[device]]\nname = "third"\naddress = 39\nsettings = "9600 8N1"\nplace = 3\n'
    site = written_site(tmp_path, EXAMPLE + third + NEIGHBOUR)
    asked = (READ, ASK_NEIGHBOUR, "27 03 00 00 00 01")
    site.hands.unplug("third")

    opened = site.hands.open_cable("example")
    open_replies = [bool(reply_to(site, one)) for one in asked]
    joined = site.hands.join_cable("example")

    assert open_replies == [True, False, False]
    assert [bool(reply_to(site, one)) for one in asked] == [True, True, False]
    assert opened == "the cable is open behind example: one device cut off"
    assert joined == "the cable is joined again behind example: one device back on the pair"


def test_a_device_unplugged_between_request_and_reply_does_not_answer(site: SimulatedSite) -> None:
    """The request has ended 8.3 ms after it began; no reply begins within 12 ms."""

    def pull() -> None:
        site.hands.unplug("example")

    site.timeline.at(site.timeline.now_s() + 0.012, pull)

    assert reply_to(site, READ) == ""


def test_a_power_cycle_costs_three_seconds_and_the_boot(site: SimulatedSite) -> None:
    """Two seconds of boot are what a device has if nothing else is said."""
    site.timeline.run_until(1.0)
    said = site.hands.power_cycle("example")
    answers: dict[float, str] = {}
    for moment_s in (1.5, 3.9, 5.7, 6.1):
        site.timeline.run_until(moment_s)
        answers[moment_s] = reply_to(site, READ)

    assert answers == {1.5: "", 3.9: "", 5.7: "", 6.1: GOOD}
    assert said == "example is without supply for 3 s, then boots"


def test_a_device_without_supply_answers_once_it_has_one(tmp_path: Path) -> None:
    site = written_site(tmp_path, EXAMPLE + "powered = false\n")
    without = reply_to(site, READ)

    site.hands.power_on("example")
    site.timeline.run_until(site.timeline.now_s() + 3.0)

    assert (without, reply_to(site, READ)) == ("", GOOD)


def share_spoilt(site: SimulatedSite, count: int = 200) -> float:
    """Share of exchanges that do not end with the good reply."""
    return sum(reply_to(site, READ, wait_s=0.06) != GOOD for _ in range(count)) / count


@pytest.mark.parametrize(("left", "least", "most"), [(0.0, 0.0, 0.0), (0.2, 0.01, 0.12), (1.0, 0.14, 0.5)])
def test_on_battery_so_much_of_the_noise_is_left(tmp_path: Path, left: float, least: float, most: float) -> None:
    """170 bits of an exchange at 2e-3 are hit in 29 %, at a fifth of it in 7 %; chance makes 3 % of it."""
    site = written_site(tmp_path, f"[line]\nbit_error_rate = 2e-3\nnoise_on_battery = {left}\n{EXAMPLE}")
    on_charger = share_spoilt(site)

    said = site.hands.on_battery()
    on_battery = share_spoilt(site)
    site.hands.on_charger()

    assert 0.14 < on_charger < 0.5
    assert least <= on_battery <= most
    assert share_spoilt(site) > 0.14
    assert said == "the laptop runs on its battery"


def test_bursts_of_noise_come_through_the_charger_too(tmp_path: Path) -> None:
    bursts = "[line]\nnoise_on_battery = 0.0\n[line.bursts]\nper_second = 4.0\nwith_plant = false\n"
    site = written_site(tmp_path, bursts + EXAMPLE)
    on_charger = share_spoilt(site)

    site.hands.on_battery()

    assert on_charger > 0.1
    assert share_spoilt(site) == 0.0


def test_a_bad_core_does_not_care_for_the_charger() -> None:
    site = shipped_site("one-core-open")
    site.hands.on_battery()

    assert share_spoilt(site, 60) > 0.1


@pytest.mark.parametrize(
    "act", ["swap_pair", "unplug", "plug_in", "power_cycle", "power_on", "open_cable", "join_cable"]
)
def test_hands_do_not_find_what_is_not_there(site: SimulatedSite, act: str) -> None:
    with pytest.raises(KeyError, match="nobody"):
        getattr(site.hands, act)("nobody")

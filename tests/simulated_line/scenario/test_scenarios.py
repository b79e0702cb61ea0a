"""Every shipped scenario: it loads, builds, and shows a client what the fault catalogue says."""

from __future__ import annotations

import re
import struct
from itertools import pairwise
from pathlib import Path

import pytest

from buswalk.domain.line.arrival import Arrival
from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.reference_codec.check_sum import check_sum
from simulated_line.scenario.reading import load_scenario, named_scenario, scenario_names
from simulated_line.shipped_files import scenario_folder
from simulated_line.site import SimulatedSite, build_site
from simulated_line.timeline import Timeline
from tests.fakes.asked_site import N81, arrivals_of, hex_of, registers_in, reply_to, shipped_site

REQUEST = bytes.fromhex("25 03 00 00 00 02 C2 EF")
GOOD = "25 03 04 00 D7 01 C2 AE 08"
SITES = {"greenhouse", "greenhouse-first-day", "hall", "hall-first-day"}
ALL_FAULTS = {f"F{number:02}" for number in range(1, 64)}


def asked(
    site: SimulatedSite, request: bytes = REQUEST, settings: SerialSettings = N81, wait_s: float = 1.2
) -> list[Arrival]:
    """Return what comes after one request, the running example if none is given."""
    return arrivals_of(site, request, settings, wait_s)


@pytest.mark.parametrize("name", scenario_names())
def test_each_scenario_loads_builds_and_runs_a_minute(name: str) -> None:
    site = shipped_site(name)

    site.timeline.run_until(60.0)

    assert site.scenario.name == name
    assert site.scenario.story.strip()


def test_each_fault_of_the_catalogue_has_a_scenario_or_a_reason() -> None:
    """A fault is a matter of line, adapter or server, or the document says why it is not."""
    with_file = {load_scenario(named_scenario(name)).fault for name in scenario_names()} - {""}
    document = (scenario_folder() / "README.md").read_text()
    with_reason = set(re.findall(r"^- (F\d\d):", document, re.MULTILINE))

    assert with_file | with_reason == ALL_FAULTS
    assert with_file & with_reason == set()


def test_the_examples_of_the_format_document_load(tmp_path: Path) -> None:
    document = (scenario_folder() / "README.md").read_text()
    examples = re.findall(r"```toml\n(.*?)```", document, re.DOTALL)

    assert len(examples) >= 8
    for number, example in enumerate(examples):
        path = tmp_path / f"example-{number}.toml"
        head = "" if "story" in example else f'name = "example {number}"\nstory = "an example"\n'
        path.write_text(head + example)
        build_site(load_scenario(path), Timeline()).timeline.run_until(1.0)


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("stray-byte-after-reply", rf"{GOOD} 00"),
        ("stray-byte-before-reply", rf"(FF|FE|FC|F8|F0|E0|C0|80|00) {GOOD}"),
        ("local-echo", rf"25 03 00 00 00 02 C2 EF {GOOD}"),
        ("duplicate-address-together", "25 03 04 00 C1 01 82 0E 08"),
        ("duplicate-address-in-turn", rf"{GOOD} 25 03 04 00 E1 01 9A 4F FC.*"),
        ("refuses", "25 83 04 00 F8"),
        ("answers-with-another-address", "26 03 04 00 D7 01 C2 9D 08"),
        ("check-sum-swapped", "25 03 04 00 D7 01 C2 08 AE"),
        ("wrong-byte-count", "25 03 02 00 D7 01 C2 26 08"),
        ("truncated-reply", "25 03 04 00"),
        ("held-at-space", "00"),
        ("held-at-mark", ""),
        ("short-across-the-pair", ""),
        ("no-device", ""),
        ("pair-swapped-at-device", ""),
        ("other-speed", ""),
        ("parity-checked", ""),
        ("adapter-releases-early", ""),
        ("silent-on-a-function", ""),
        ("boots", "25 83 06 81 39"),
        ("pause-inside-reply", GOOD),
        ("adapter-latency", GOOD),
        ("other-stop-bits", GOOD),
        ("quantity-limit", GOOD),
        ("slow-device", GOOD),
        ("device-releases-late", GOOD),
    ],
)
def test_what_a_client_sees_of_a_fault(name: str, expected: str) -> None:
    """Patterns of the fault catalogue for the running example, computed with independent bit models."""
    assert re.fullmatch(expected, hex_of(asked(shipped_site(name))))


def test_an_adapter_that_lets_go_late_costs_the_head_and_leaves_the_tail() -> None:
    got = hex_of(asked(shipped_site("adapter-releases-late")))

    assert got != GOOD
    assert got.endswith("D7 01 C2 AE 08")


def test_a_device_that_ignores_parity_answers_in_its_own_framing() -> None:
    """F36: asked in 8N2 it answers in 8E1, heard as 8N1 with framing errors."""
    arrivals = asked(shipped_site("parity-not-checked"), settings=SerialSettings.of(9600, "8N2"))

    assert hex_of(arrivals) == GOOD
    assert sum(len(one.marks) for one in arrivals) == 3


def test_a_device_that_wants_a_pause_ignores_what_comes_too_soon() -> None:
    site = shipped_site("needs-a-pause")

    answers = [hex_of(asked(site, wait_s=0.1)), hex_of(asked(site, wait_s=0.1)), hex_of(asked(site, wait_s=0.4))]

    assert answers[0] == GOOD
    assert answers[1] == ""


def test_a_quantity_above_the_limit_is_refused() -> None:
    """F40."""
    request = bytes.fromhex("25 03 00 00 00 05 83 2D")

    assert hex_of(asked(shipped_site("quantity-limit"), request)) == "25 83 03 41 3A"


def test_a_written_address_answers_from_the_new_one() -> None:
    """F53: register 10 takes the address; 06 to 42 is confirmed by 42."""
    site = shipped_site("address-acts-at-once")
    request = bytes.fromhex("25 06 00 0A 00 2A 2E F3")

    got = hex_of(asked(site, request))

    assert got.startswith("2A 06 00 0A 00 2A")


def test_an_address_that_needs_a_restart_is_read_back_at_once_and_acts_after_it() -> None:
    """F54: read-back shows the new value, behaviour is the old one until the supply was away."""
    site = shipped_site("write-needs-restart")
    asked(site, bytes.fromhex("25 06 00 0A 00 2A 2E F3"))
    read_back = hex_of(asked(site, bytes.fromhex("25 03 00 0A 00 01 A2 EC")))

    site.hands.power_cycle("example")
    site.timeline.run_until(site.timeline.now_s() + 10.0)

    assert read_back.startswith("25 03 02 00 2A")
    assert hex_of(asked(site)) == ""
    assert hex_of(asked(site, bytes.fromhex("2A 03 00 00 00 02 C2 10"))).startswith("2A 03 04 00 D7 01 C2")


def test_an_ignored_write_is_confirmed_and_forgotten() -> None:
    """F55."""
    site = shipped_site("write-ignored")
    request = bytes.fromhex("25 06 00 00 00 07 CE EC")

    confirmed = hex_of(asked(site, request))

    assert confirmed == request.hex(" ").upper()
    assert hex_of(asked(site)) == GOOD


def test_noise_comes_with_the_plant_only() -> None:
    """F31."""
    site = shipped_site("noise-with-plant")
    quiet = [hex_of(asked(site, wait_s=0.1)) for _ in range(60)]

    site.hands.plant_on()
    loud = [hex_of(asked(site, wait_s=0.1)) for _ in range(60)]

    assert set(quiet) == {GOOD}
    assert sum(one != GOOD for one in loud) >= 3


def test_a_loose_contact_takes_everything_behind_it_away_for_a_while() -> None:
    """F34: six seconds on, two off."""
    site = shipped_site("loose-contact")
    site.timeline.run_until(5.0)
    on = hex_of(asked(site, wait_s=0.2))

    site.timeline.run_until(6.5)
    off = hex_of(asked(site, wait_s=0.2))

    assert (on, off) == (GOOD, "")


def test_a_pulled_adapter_ends_every_verb_with_vanished() -> None:
    """F60."""
    site = shipped_site("adapter-unplugged")
    line = site.open_line("test", N81, lambda: None)

    with pytest.raises(PortError) as lost:
        line.read(30.0)

    assert lost.value.problem is PortProblem.VANISHED
    assert site.timeline.now_s() == pytest.approx(20.0)


def test_an_automatic_device_settles_after_three_good_frames_and_keeps_its_speed() -> None:
    """Our own law with numbers that practitioners report; it starts at 9600."""
    site = shipped_site("finds-its-speed")

    answers = [hex_of(asked(site, wait_s=0.2)) for _ in range(4)]

    assert answers == ["", "", "", GOOD]


def test_values_move_with_their_process() -> None:
    """The air of a bay follows the weather: colder before sunrise, warmer an hour after it."""
    site = shipped_site("greenhouse")
    request = bytes.fromhex("15 04 00 00 00 01 32 DE")

    def degrees() -> float:
        return int(hex_of(asked(site, request))[9:14].replace(" ", ""), 16) / 10.0

    start = degrees()
    site.timeline.run_until(1150.0)
    before_sunrise = degrees()
    site.timeline.run_until(6000.0)
    later = degrees()

    assert start == pytest.approx(18.0, abs=0.4)
    assert before_sunrise < start - 2.0
    assert later > before_sunrise + 3.0


def listened(name: str) -> tuple[bytes, int]:
    """What comes of one frame of somebody else, and how many of its bytes are marked."""
    site = shipped_site(name)
    line = site.open_line("test", site.scenario.adapter_settings, lambda: None)
    data, marks = b"", 0
    while (arrival := line.read(0.6)) is not None:
        data, marks = data + arrival.data, marks + len(arrival.marks)
    return data, marks


def test_at_twice_the_speed_the_bytes_are_those_of_the_catalogue() -> None:
    """F06: 13 bytes for 9, computed with two independent bit models."""
    data, marks = listened("heard-at-twice-the-speed")

    assert data == bytes.fromhex("66 98 00 60 00 7E 7E 00 18 F8 E6 80 80")
    assert marks == 8


@pytest.mark.parametrize(
    ("name", "fewest", "most"),
    [
        ("heard-at-half-the-speed", 4, 5),
        ("heard-at-four-times-the-speed", 17, 17),
        ("heard-at-a-quarter-of-the-speed", 1, 3),
    ],
)
def test_at_another_speed_the_count_of_bytes_tells_the_ratio(name: str, fewest: int, most: int) -> None:
    """F07 to F09: there samples fall on edges, so counts are held and not bytes."""
    data, marks = listened(name)

    assert fewest <= len(data) <= most
    assert marks > 0


def test_a_reply_may_have_a_right_check_sum_too_soon() -> None:
    """F48: 769 from server 1; its first four bytes are closed by the next two."""
    got = hex_of(asked(shipped_site("check-sum-fits-too-soon"), bytes.fromhex("01 04 00 00 00 01 31 CA")))

    assert got == "01 04 02 03 01 78 00"
    assert check_sum(bytes.fromhex("01 04 02 03")) == bytes.fromhex("01 78")


def test_halves_read_in_two_requests_do_not_belong_together() -> None:
    """F57: behind a wrap of the low word the old high word is 65536 too low; in one request never."""
    site = shipped_site("torn-value")
    whole: list[int] = []
    torn: list[int] = []
    for _ in range(60):
        high, low = registers_in(reply_to(site, "25 03 00 00 00 02"))
        whole.append(high << 16 | low)
        (high,) = registers_in(reply_to(site, "25 03 00 00 00 01"))
        (low,) = registers_in(reply_to(site, "25 03 00 01 00 01"))
        torn.append(high << 16 | low)

    assert whole == sorted(whole)
    assert any(one < former for former, one in pairwise(torn))


def test_a_shifted_map_answers_one_higher_than_its_list() -> None:
    """F58: listed at 0, found at 1; a float low word first; -100 tenths as 16 bits."""
    site = shipped_site("map-shifted")

    assert reply_to(site, "25 03 00 00 00 01") == "25 83 02"
    assert registers_in(reply_to(site, "25 03 00 01 00 02")) == [215, 450]
    low, high, below_zero = registers_in(reply_to(site, "25 04 00 15 00 03"))
    assert 40.0 < struct.unpack(">f", struct.pack(">HH", high, low))[0] < 56.0
    assert struct.unpack(">h", struct.pack(">H", below_zero))[0] == -100


def test_codes_for_no_value_are_shown_as_they_are() -> None:
    """F59."""
    assert reply_to(shipped_site("no-value-codes"), "25 04 00 00 00 05") == "25 04 0A 80 00 7F FF FF FF 7F C0 00 00"


def test_a_port_held_by_another_program_is_refused_as_busy() -> None:
    """F61."""
    with pytest.raises(PortError) as refused:
        shipped_site("adapter-held").open_line("test", N81, lambda: None)

    assert refused.value.problem is PortProblem.BUSY


def test_the_sites_are_there() -> None:
    assert set(scenario_names()) >= SITES

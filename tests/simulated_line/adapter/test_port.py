"""The adapter as the computer lists it: pulled, back under another name, held; and lumps of bytes."""

from __future__ import annotations

from pathlib import Path

import pytest

from buswalk.domain.line.port_error import PortError, PortProblem
from buswalk.domain.line.serial_settings import SerialSettings
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import EXAMPLE, N81, reply_to, shipped_site, written_site

READ = "25 03 00 00 00 02"
GOOD = "25 03 04 00 D7 01 C2"


@pytest.fixture
def site() -> SimulatedSite:
    """Unplugged from 20 s to 30 s, then `sim-again`; first opened as `sim`."""
    shipped = shipped_site("adapter-unplugged")
    shipped.open_line("sim", N81, lambda: None)
    return shipped


def problem_of(site: SimulatedSite, name: str) -> PortProblem | None:
    """Why it does not open under a name, or None."""
    try:
        site.open_line(name, N81, lambda: None)
    except PortError as refused:
        return refused.problem
    return None


def test_the_list_of_ports_shows_it_go_and_come_back_under_another_name(site: SimulatedSite) -> None:
    listed: list[tuple[str, ...]] = []
    for moment_s in (19.9, 20.0, 29.9, 30.0):
        site.timeline.run_until(moment_s)
        listed.append(site.port.listed())

    assert listed == [("sim",), (), (), ("sim-again",)]


def test_away_it_is_missing_and_back_it_opens_under_its_new_name_only(site: SimulatedSite) -> None:
    """F60."""
    site.timeline.run_until(25.0)
    away = problem_of(site, "sim")
    site.timeline.run_until(31.0)

    back = (problem_of(site, "sim"), problem_of(site, "sim-again"))

    assert away is PortProblem.MISSING
    assert back == (PortProblem.MISSING, None)
    assert reply_to(site, READ) == GOOD


def test_a_line_opened_before_stays_lost(site: SimulatedSite) -> None:
    line = site.open_line("sim", N81, lambda: None)
    site.timeline.run_until(40.0)

    with pytest.raises(PortError) as lost:
        line.write(b"\x25")

    assert lost.value.problem is PortProblem.VANISHED


def test_what_came_while_nobody_had_it_open_is_not_handed_over(tmp_path: Path) -> None:
    chatter = '[[chatter]]\nname = "c"\nsettings = "9600 8N1"\ndata = "01 02"\nperiod_s = 1.0\n'
    site = written_site(tmp_path, chatter)
    site.timeline.run_until(10.5)

    line = site.open_line("late", N81, lambda: None)

    assert line.discard() == ()
    assert line.read(10.9) is None


def test_a_port_that_is_held_opens_once_it_is_free(tmp_path: Path) -> None:
    """F61."""
    site = written_site(tmp_path, f"[adapter]\nbusy_until_s = 5.0\n{EXAMPLE}")
    held = problem_of(site, "sim")

    site.timeline.run_until(5.0)

    assert (held, problem_of(site, "sim")) == (PortProblem.BUSY, None)


def test_a_bias_that_the_adapter_brings_goes_and_comes_with_it(tmp_path: Path) -> None:
    """F63: the line floats while the adapter is away."""
    adapter = "[adapter]\nsupplies_bias = true\nunplugged_from_s = 2.0\nback_after_s = 3.0\n"
    site = written_site(tmp_path, "[line]\nbiased = false\n" + adapter + EXAMPLE)
    biased: list[bool] = []
    for moment_s in (1.0, 3.0, 6.0):
        site.timeline.run_until(moment_s)
        biased.append(site.segment.habits.biased)

    assert biased == [True, False, True]


def test_a_full_lump_is_handed_over_before_the_tick(tmp_path: Path) -> None:
    """F29 at 115 200 baud: 32 of 55 characters have arrived after 2.8 ms, long before the tick of 16 ms."""
    fast = SerialSettings.of(115_200, "8N1")
    device = '[[device]]\nname = "fast"\naddress = 1\nsettings = "115200 8N1"\n'
    cells = '[[device.cell]]\ntable = "holding_registers"\naddress = 0\nwords = [' + "7, " * 25 + "]\n"
    site = written_site(tmp_path, "[adapter]\nlatency_step_s = 0.016\nlump_bytes = 32\n" + device + cells)
    line = site.open_line("sim", fast, lambda: None)
    line.write(bytes.fromhex("01 03 00 00 00 19 84 00"))
    arrivals = []
    while (arrival := line.read(0.2)) is not None:
        arrivals.append(arrival)

    lump, *rest = [one for one in arrivals if len(one.data) == 32] + [one for one in arrivals if len(one.data) < 32]
    assert len(lump.data) == 32
    assert lump.not_after_s / 0.016 != pytest.approx(round(lump.not_after_s / 0.016))
    assert [one.not_after_s / 0.016 for one in rest] == pytest.approx([round(one.not_after_s / 0.016) for one in rest])
    assert sum(len(one.data) for one in arrivals) == 55

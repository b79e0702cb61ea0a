"""What becomes of written values: saved or not, kept in memory that wears, lost without supply."""

from __future__ import annotations

from pathlib import Path

import pytest

from simulated_line.servers.device_habits import Memory
from simulated_line.site import SimulatedSite
from tests.fakes.asked_site import EXAMPLE, registers_in, reply_to, shipped_site, written_site

READ = "25 03 00 00 00 02"
WRITE_7 = "25 06 00 00 00 07"
HABITS = EXAMPLE + "[device.habits]\n"
WEARS = HABITS + "memory = { wearing = [0], volatile = [1], counter_at = 40, life_writes = 3, written_before = 1 }\n"


def cycled(site: SimulatedSite) -> None:
    """The supply is away for a while, and the device has booted again."""
    site.hands.power_cycle("example")
    site.timeline.run_until(site.timeline.now_s() + 8.0)


@pytest.mark.parametrize(("is_saved", "kept"), [(True, [7, 450]), (False, [215, 450])])
def test_what_is_not_saved_is_gone_with_the_supply(tmp_path: Path, is_saved: bool, kept: list[int]) -> None:
    site = written_site(tmp_path, HABITS + 'write_effect = "after_save"\nsave_register = 15\n')
    assert reply_to(site, WRITE_7) == WRITE_7
    assert registers_in(reply_to(site, READ)) == [7, 450]
    if is_saved:
        reply_to(site, "25 06 00 0F 00 01")

    cycled(site)

    assert registers_in(reply_to(site, READ)) == kept


def test_an_address_acts_when_it_is_saved(tmp_path: Path) -> None:
    site = written_site(tmp_path, HABITS + 'write_effect = "after_save"\nsave_register = 15\naddress_register = 10\n')
    reply_to(site, "25 06 00 0A 00 2A")
    unsaved = reply_to(site, READ)

    saved = reply_to(site, "25 06 00 0F 00 01")

    assert registers_in(unsaved) == [215, 450]
    assert saved == "2A 06 00 0F 00 01"


def test_writes_to_memory_that_wears_are_counted_and_end(tmp_path: Path) -> None:
    """Three writes in its life, one of them before: the third of ours is refused with 04 (V1.1b3, 7)."""
    site = written_site(tmp_path, WEARS)

    answers = [reply_to(site, f"25 06 00 00 00 0{number}") for number in (1, 2, 3)]

    assert answers == ["25 06 00 00 00 01", "25 06 00 00 00 02", "25 86 04"]
    assert registers_in(reply_to(site, "25 04 00 28 00 02")) == [0, 3]
    assert registers_in(reply_to(site, READ)) == [2, 450]


def test_writes_to_volatile_memory_do_not_count_and_do_not_last(tmp_path: Path) -> None:
    site = written_site(tmp_path, WEARS)
    for number in range(8):
        reply_to(site, f"25 06 00 01 00 0{number}")
    reply_to(site, WRITE_7)
    before = registers_in(reply_to(site, READ))

    cycled(site)

    assert before == [7, 7]
    assert registers_in(reply_to(site, READ)) == [7, 450]
    assert registers_in(reply_to(site, "25 04 00 28 00 02")) == [0, 2]


def test_a_pump_of_the_hall_shows_its_count_over_sixteen_bits() -> None:
    """100 000 writes do not fit into one register; the pump comes with 4200 (0x1068) of them."""
    site = shipped_site("hall")
    pump = site.devices["pool pump 1"].answerer

    first = pump.answer(bytes.fromhex("04 00 0A 00 02"), 0.0)
    for _ in range(61_337):
        pump.answer(bytes.fromhex("06 00 00 1C 20"), 0.0)

    assert first == bytes.fromhex("04 04 00 00 10 68")
    assert pump.answer(bytes.fromhex("04 00 0A 00 02"), 0.0) == bytes.fromhex("04 04 00 01 00 01")


def test_a_written_value_is_clipped(tmp_path: Path) -> None:
    """F55: confirmed as asked, kept as allowed."""
    site = written_site(tmp_path, HABITS + 'write_effect = "clipped"\nclip_low = 0\nclip_high = 100\n')

    confirmed = reply_to(site, "25 06 00 00 01 F4")

    assert confirmed == "25 06 00 00 01 F4"
    assert registers_in(reply_to(site, READ)) == [100, 450]


def test_a_written_value_falls_back(tmp_path: Path) -> None:
    site = written_site(tmp_path, HABITS + 'write_effect = "falls_back"\nfalls_back_after_s = 10.0\n')
    reply_to(site, WRITE_7)
    at_once = registers_in(reply_to(site, READ))

    site.timeline.run_until(11.0)

    assert at_once == [7, 450]
    assert registers_in(reply_to(site, READ)) == [215, 450]


def test_a_register_is_not_kept_in_two_memories() -> None:
    with pytest.raises(ValueError, match="not both"):
        Memory(wearing=frozenset({1}), volatile=frozenset({1}))

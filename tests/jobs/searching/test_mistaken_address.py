"""A planned device whose switches were read wrongly is found sooner where its board is known. Whole searches."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from buswalk.domain.line.serial_settings import SerialSettings
from buswalk.domain.search.events import Depth, Found, SearchPlan
from buswalk.domain.search.prior import Mistaken
from buswalk.domain.site.planned_device import PlannedDevice
from buswalk.domain.switches.library import BoardLibrary
from buswalk.domain.switches.mistaken_addresses import mistaken_addresses
from tests.fakes.switch_boards import plain
from tests.jobs.searching.simulated_search import SimulatedSearch, settings_at

EIGHT = plain(8)
PLANNED = 37
READ_FROM_OTHER_END = 0b1010_0100
"""37 is 0010 0101."""
PLAN = SearchPlan(tuple(range(1, 248)), settings_at(9600, 19200), frozenset({PLANNED}), listen_s=0.0)


def found_after_s(path: Path, plan: SearchPlan) -> float:
    search = SimulatedSearch(path)
    for event in search.job(plan).run():
        if isinstance(event, Found):
            assert event.server_address == READ_FROM_OTHER_END
            return search.clock.now_s()
    raise AssertionError("nothing was found")


@pytest.fixture
def misread(tmp_path: Path) -> Path:
    path = tmp_path / "misread.toml"
    settings = SerialSettings.of(9600, "8N1")
    path.write_text(
        'name = "misread"\nstory = "eight levers were read from the other end"\n'
        f'[[device]]\nname = "device"\naddress = {READ_FROM_OTHER_END}\nsettings = "{settings}"\n'
        "place = 1\nmetres = 1.0\n"
    )
    return path


@pytest.fixture(scope="module")
def mistaken() -> Mistaken:
    device = PlannedDevice(1, PLANNED, "air north", board=EIGHT.name)
    return mistaken_addresses([device], BoardLibrary((EIGHT,), frozenset(), ()))


def test_it_is_found_many_times_sooner(misread: Path, mistaken: Mistaken) -> None:
    """Without its board 164 is one of 230 unlikely addresses."""
    known = found_after_s(misread, replace(PLAN, mistaken=mistaken))
    not_known = found_after_s(misread, PLAN)

    assert known < not_known / 4


def test_also_by_a_thorough_search(misread: Path, mistaken: Mistaken) -> None:
    plan = replace(PLAN, depth=Depth.THOROUGH)

    assert found_after_s(misread, replace(plan, mistaken=mistaken)) < found_after_s(misread, plan) / 2

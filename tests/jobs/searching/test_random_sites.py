"""Random sites, searched thoroughly: what is claimed is found, nothing is invented, two at one address are flagged."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.fakes.judged_site import judged
from tests.fakes.random_sites import random_site

USUAL = range(1, 25)
"""Two dozen of one speed with few addresses; the benchmark goes over all."""
HIGHEST = 32
LONG = range(100, 160)
STRONGER = "stronger_wins"


def faults(number: int, folder: Path, speeds: int, highest: int) -> list[str]:
    """Return what is wrong; where the stronger of two wins, the weaker may stay unseen."""
    result = judged(random_site(number, speeds, highest), folder)
    is_excused = result.site.overlap == STRONGER
    return [one for one in result.faults if not (is_excused and "not flagged" in one)]


@pytest.mark.parametrize("number", USUAL)
def test_a_site_of_one_speed(number: int, tmp_path: Path) -> None:
    assert faults(number, tmp_path, 1, HIGHEST) == []


@pytest.mark.long
@pytest.mark.parametrize("number", LONG)
def test_a_site_of_two_speeds(number: int, tmp_path: Path) -> None:
    assert faults(number, tmp_path, 2, 247) == []

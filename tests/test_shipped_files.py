"""Shipped files are found in a checkout and in an installed package alike."""

from __future__ import annotations

from pathlib import Path

from buswalk.shipped_files import profile_folder
from simulated_line.shipped_files import scenario_folder


def test_in_a_checkout_they_lie_at_the_top() -> None:
    assert (scenario_folder() / "greenhouse.toml").is_file()
    assert (profile_folder() / "README.md").is_file()


def test_in_a_package_they_lie_beside_it(tmp_path: Path) -> None:
    (tmp_path / "shipped" / "scenarios").mkdir(parents=True)
    (tmp_path / "shipped" / "profiles").mkdir()

    assert scenario_folder(tmp_path) == tmp_path / "shipped" / "scenarios"
    assert profile_folder(tmp_path) == tmp_path / "shipped" / "profiles"

"""The built wheel works outside the checkout, with its scenarios in it."""

from __future__ import annotations

import os
import subprocess
import sys
import venv
from pathlib import Path

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
FIND = ["find", "--port", "demo:greenhouse", "--clock", "virtual", "--alone", "--addresses", "21-22"]


def built(folder: Path) -> Path:
    """The wheel, built without a network: its build backend is among the tests' packages."""
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "wheel",
            "--no-deps",
            "--no-build-isolation",
            "--quiet",
            "-w",
            str(folder),
            str(CHECKOUT),
        ],
        check=True,
        timeout=120,
        capture_output=True,
    )
    return next(folder.glob("buswalk-*.whl"))


def test_the_wheel_runs_beside_the_test_environment(tmp_path: Path) -> None:
    installed = tmp_path / "installed"
    subprocess.run(
        [
            sys.executable,
            "-m",
            "pip",
            "install",
            "--no-deps",
            "--quiet",
            "--target",
            str(installed),
            str(built(tmp_path)),
        ],
        check=True,
        timeout=120,
    )

    done = subprocess.run(
        [sys.executable, "-m", "buswalk.main", *FIND],
        env={**os.environ, "PYTHONPATH": str(installed)},
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert done.returncode == 0, done.stderr
    assert "  21  9600" in done.stdout
    assert (installed / "buswalk" / "shipped" / "profiles").is_dir()


@pytest.mark.long
def test_the_wheel_runs_in_an_empty_environment(tmp_path: Path) -> None:
    venv.create(tmp_path / "empty", with_pip=True)
    python = tmp_path / "empty" / "bin" / "python"
    subprocess.run([str(python), "-m", "pip", "install", "--quiet", str(built(tmp_path))], check=True, timeout=600)
    environment = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}

    found = subprocess.run(
        [str(tmp_path / "empty" / "bin" / "buswalk"), *FIND],
        env=environment,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )
    listed = subprocess.run(
        [str(tmp_path / "empty" / "bin" / "buswalk-line"), "list"],
        env=environment,
        cwd=tmp_path,
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert found.returncode == 0, found.stderr
    assert "greenhouse-first-day" in listed.stdout

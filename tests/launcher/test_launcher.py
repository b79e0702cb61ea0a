"""The launcher: its sentences, its stamp, its lock. Environments themselves are made in `python3 tests long`."""

from __future__ import annotations

import ast
import importlib.util
import json
import os
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from types import ModuleType

import pytest

CHECKOUT = Path(__file__).resolve().parents[2]
LAUNCHER = CHECKOUT / "app" / "__main__.py"


def load() -> ModuleType:
    """The launcher as a module; loading it does nothing."""
    spec = importlib.util.spec_from_file_location("launcher_under_test", LAUNCHER)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.fixture
def launcher() -> ModuleType:
    """The launcher as a module."""
    return load()


@pytest.mark.parametrize(
    "path", [LAUNCHER, CHECKOUT / "simulators" / "__main__.py", CHECKOUT / "tests" / "__main__.py"]
)
def test_it_parses_under_an_old_python(path: Path) -> None:
    """So that a wrong Python gets a sentence in place of a syntax error."""
    ast.parse(path.read_text(), feature_version=(3, 8))


def test_a_python_that_is_too_old_gets_a_sentence(launcher: ModuleType) -> None:
    with pytest.raises(launcher.CannotStart, match=r"needs Python 3\.11 or later, and this is 3\.8"):
        launcher.require_python((3, 8, 10))


def test_a_new_enough_python_passes(launcher: ModuleType) -> None:
    launcher.require_python((3, 11, 0))
    launcher.require_python((4, 0, 0))


def test_the_stamp_changes_with_dependencies_and_python(launcher: ModuleType) -> None:
    first = launcher.stamp_of(["a>=1"], (3, 11))

    assert launcher.stamp_of(["a>=1"], (3, 11)) == first
    assert launcher.stamp_of(["a>=2"], (3, 11)) != first
    assert launcher.stamp_of(["a>=1"], (3, 12)) != first


def test_dependencies_come_from_the_project_file(launcher: ModuleType) -> None:
    """PySide6 6.12.0 aborts Python 3.11: the pin keeps it out."""
    wanted = launcher.requirements(str(CHECKOUT / "pyproject.toml"), ("tests",))

    assert "PySide6-Essentials>=6.8,<6.12" in wanted
    assert any(one.startswith("pytest") for one in wanted)


def test_a_half_made_environment_is_not_ready(launcher: ModuleType, tmp_path: Path) -> None:
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin" / "python").touch()

    assert not launcher.is_ready(str(tmp_path), "stamp")


def test_an_environment_whose_base_python_is_gone_is_not_ready(launcher: ModuleType, tmp_path: Path) -> None:
    (tmp_path / launcher.STAMP).write_text("stamp")
    (tmp_path / "bin").mkdir()
    (tmp_path / "bin" / "python").symlink_to(tmp_path / "nowhere")

    assert not launcher.is_ready(str(tmp_path), "stamp")


def test_a_whole_environment_is_ready(launcher: ModuleType, tmp_path: Path) -> None:
    (tmp_path / launcher.STAMP).write_text("stamp")
    python = Path(launcher.python_of(str(tmp_path)))
    python.parent.mkdir(exist_ok=True)
    python.touch()

    assert launcher.is_ready(str(tmp_path), "stamp")
    assert not launcher.is_ready(str(tmp_path), "another stamp")


def test_a_second_start_says_that_it_waits_and_gives_up_with_a_sentence(
    launcher: ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder = str(tmp_path / "environment")

    with (
        launcher.Lock(folder),
        pytest.raises(launcher.CannotStart, match="another start holds"),
        launcher.Lock(folder, wait_s=0.0),
    ):
        pass

    assert capsys.readouterr().err == ""


def test_a_lock_is_given_back(launcher: ModuleType, tmp_path: Path) -> None:
    folder = str(tmp_path / "environment")

    with launcher.Lock(folder):
        pass
    with launcher.Lock(folder, wait_s=0.0):
        pass


def test_without_root_the_missing_package_is_said_with_its_command(launcher: ModuleType) -> None:
    with pytest.raises(
        launcher.CannotStart, match="run 'sudo apt-get install -y --no-install-recommends python3-venv'"
    ):
        launcher.install_system_packages(
            ("python3-venv",), may_install=False, why="Python here cannot make environments"
        )


def test_a_command_that_fails_is_one_sentence_with_its_own_last_words(launcher: ModuleType) -> None:
    command = [sys.executable, "-c", "import sys; print('no network'); sys.exit(1)"]

    with pytest.raises(launcher.CannotStart, match=r"the packages cannot be installed \(no network\)"):
        launcher.run(command, "the packages cannot be installed")


def test_a_read_only_checkout_puts_the_environment_into_the_users_data(tmp_path: Path) -> None:
    """As root everything can be written, so a child asks under another user id."""
    checkout = tmp_path / "checkout"
    data = tmp_path / "data"
    checkout.mkdir(mode=0o755)
    data.mkdir(mode=0o777)
    data.chmod(0o777)
    tmp_path.chmod(0o755)
    for parent in tmp_path.parents:
        if parent.stat().st_uid == os.geteuid() and str(parent) not in ("/", "/tmp"):
            parent.chmod(parent.stat().st_mode | 0o055)
    (tmp_path / "launcher.py").write_text(LAUNCHER.read_text())
    script = (
        "import os, sys, runpy\n"
        f"module = runpy.run_path({str(tmp_path / 'launcher.py')!r}, run_name='loaded')\n"
        "os.setuid(65534) if os.geteuid() == 0 else None\n"
        f"print(module['environment_folder']('.venv', {str(checkout)!r}))\n"
    )

    done = subprocess.run(
        [sys.executable, "-c", script],
        env={**os.environ, "XDG_DATA_HOME": str(data)},
        capture_output=True,
        text=True,
        check=True,
    )

    expected = data if os.geteuid() == 0 else checkout
    assert done.stdout.startswith(str(expected))


def test_the_command_line_starts_from_a_checkout_with_both_packages_by_path() -> None:
    """The environment of these tests stands for the launcher's."""
    launcher = load()
    environment = {**os.environ, "PYTHONPATH": os.pathsep.join(launcher.import_paths())}

    done = subprocess.run(
        [sys.executable, "-m", "buswalk.main", "--version"],
        env=environment,
        cwd="/",
        capture_output=True,
        text=True,
        check=False,
        timeout=60,
    )

    assert (done.returncode, done.stdout.split()[0]) == (0, "buswalk")


def without(*names: str) -> Callable[[str], None]:
    """A loader on a system that lacks these libraries."""

    def load(name: str) -> None:
        if name in names:
            raise OSError(name)

    return load


def test_what_the_window_lacks_of_the_system_is_named_by_package(launcher: ModuleType) -> None:
    """What Qt loads was measured on a bare Debian 12."""
    missing = launcher.missing_libraries("linux", {}, without("libEGL.so.1", "libxcb-cursor.so.0"))

    assert missing == ["libegl1"]


def test_an_x_screen_needs_more_libraries(launcher: ModuleType) -> None:
    lacking = without("libxcb-cursor.so.0")

    assert launcher.missing_libraries("linux", {"DISPLAY": ":0"}, lacking) == ["libxcb-cursor0"]
    assert launcher.missing_libraries("linux", {"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"}, lacking) == []


def test_other_systems_bring_what_the_window_needs(launcher: ModuleType) -> None:
    assert launcher.missing_libraries("win32", {}, without("libEGL.so.1")) == []


def test_missing_libraries_get_a_sentence_with_the_command(launcher: ModuleType) -> None:
    why = "the window needs libraries that this system lacks"

    with pytest.raises(launcher.CannotStart, match=r"lacks: run 'sudo apt-get install .*libegl1'"):
        launcher.install_system_packages(["libegl1"], may_install=False, why=why)


@pytest.mark.parametrize(
    ("arguments", "is_window"),
    [
        ([], True),
        (["--port", "COM7"], True),
        (["find", "--port", "COM7"], False),
        (["--help"], False),
        (["--version"], False),
    ],
)
def test_options_alone_belong_to_the_window(launcher: ModuleType, arguments: list[str], *, is_window: bool) -> None:
    assert launcher.is_for_window(arguments) is is_window


@pytest.mark.long
def test_two_first_starts_at_once_make_one_environment(tmp_path: Path) -> None:
    """In a checkout of its own, whose path has a space."""
    checkout = tmp_path / "my checkout"
    names = subprocess.run(["git", "ls-files"], cwd=CHECKOUT, capture_output=True, text=True, check=True).stdout
    for name in names.splitlines():
        if (CHECKOUT / name).exists():
            (checkout / name).parent.mkdir(parents=True, exist_ok=True)
            shutil.copy(CHECKOUT / name, checkout / name)

    starts = [
        subprocess.Popen(
            [sys.executable, "app", "ports", "--json"],
            cwd=checkout,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            env={name: value for name, value in os.environ.items() if name != "PYTHONPATH"},
        )
        for _ in range(2)
    ]
    said = [start.communicate(timeout=600) for start in starts]

    assert [start.returncode for start in starts] == [0, 0], said
    assert sum("preparing buswalk's environment" in err for _, err in said) == 1
    assert sum("another start prepares the environment" in err for _, err in said) == 1
    assert all(json.loads(out.splitlines()[0])["event"] == "started" for out, _ in said)

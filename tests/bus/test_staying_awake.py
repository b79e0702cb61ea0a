"""The computer is kept awake by a helper of the system: a recorded fake here, for no test may hold a machine awake."""

from __future__ import annotations

from collections.abc import Sequence

import pytest

from buswalk.bus.staying_awake import helper_command, stay_awake


class RecordedHelper:
    """Remembers what was done with it."""

    def __init__(self) -> None:
        self.done: list[str] = []

    def terminate(self) -> None:
        self.done.append("terminated")

    def wait(self, timeout: float) -> int:
        self.done.append(f"waited {timeout:g} s")
        return 0


def test_a_helper_runs_exactly_as_long_as_the_job() -> None:
    helper = RecordedHelper()
    commands: list[Sequence[str]] = []

    def start(command: Sequence[str]) -> RecordedHelper:
        commands.append(command)
        return helper

    with stay_awake("linux", start):
        before = list(helper.done)

    assert before == []
    assert helper.done == ["terminated", "waited 1 s"]
    assert commands[0][0] == "systemd-inhibit"


def test_a_helper_ends_when_the_job_fails() -> None:
    helper = RecordedHelper()

    with pytest.raises(RuntimeError), stay_awake("linux", lambda _command: helper):
        raise RuntimeError

    assert helper.done[0] == "terminated"


def test_a_system_without_the_helper_runs_the_job_all_the_same() -> None:
    def missing(_command: Sequence[str]) -> RecordedHelper:
        raise FileNotFoundError

    with stay_awake("linux", missing):
        pass


@pytest.mark.parametrize(
    ("platform", "program"), [("linux", "systemd-inhibit"), ("darwin", "caffeinate"), ("freebsd14", "")]
)
def test_each_system_has_its_own_helper(platform: str, program: str) -> None:
    assert "".join(helper_command(platform, 1)[:1]) == program


@pytest.mark.parametrize("platform", ["linux", "darwin"])
def test_the_helper_ends_with_the_process_it_is_for(platform: str) -> None:
    assert "4711" in " ".join(helper_command(platform, 4711))
